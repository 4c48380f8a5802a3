-- A ledger of format 1 with one closed week, as the program of then wrote it.
BEGIN TRANSACTION;
CREATE TABLE balances (
    part TEXT NOT NULL, bin TEXT NOT NULL, unit TEXT NOT NULL, per INTEGER NOT NULL,
    amount INTEGER NOT NULL CHECK (typeof(amount) = 'integer'), PRIMARY KEY (part, bin, unit, per)
) WITHOUT ROWID;
INSERT INTO "balances" VALUES('CLIP','A1','each',1,26);
INSERT INTO "balances" VALUES('GLUE','','mL',1,25);
INSERT INTO "balances" VALUES('GLUE','','mL',10,-1);
CREATE TABLE closings (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL, kind TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL,
    posted TEXT NOT NULL, old_workbook TEXT NOT NULL, new_workbook TEXT NOT NULL, target TEXT NOT NULL,
    aside TEXT NOT NULL, kept TEXT NOT NULL, undoes INTEGER UNIQUE REFERENCES closings (id),
    details TEXT NOT NULL
);
INSERT INTO "closings" VALUES(1,'sheet before 2026-W49','sheet','2026-12-01','clerk','2026-11-29T19:51:56+00:00','a','a','','','',NULL,'{}');
INSERT INTO "closings" VALUES(2,'2026-W49','week','2026-12-01','clerk','2026-11-29T19:51:56+00:00','a','b','stock.xlsx','','',NULL,'{"done": ["J-1"], "received": [], "usage": [["2026-12-01", "CLIP", "4", "J-1"]]}');
CREATE TABLE finished (closing INTEGER PRIMARY KEY REFERENCES closings (id), how TEXT NOT NULL);
INSERT INTO "finished" VALUES(1,'no workbook');
INSERT INTO "finished" VALUES(2,'stock.xlsx');
CREATE TABLE movements (
    id INTEGER PRIMARY KEY, closing INTEGER NOT NULL REFERENCES closings (id),
    part TEXT NOT NULL, bin TEXT NOT NULL,
    amount INTEGER NOT NULL CHECK (typeof(amount) = 'integer' AND abs(amount) <= 1000000000000000),
    per INTEGER NOT NULL CHECK (typeof(per) = 'integer' AND per BETWEEN 1 AND 1000000000000000),
    unit TEXT NOT NULL, kind TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL, job TEXT NOT NULL,
    source TEXT NOT NULL, note TEXT NOT NULL, reverses INTEGER UNIQUE REFERENCES movements (id)
);
INSERT INTO "movements" VALUES(1,1,'CLIP','A1',30,1,'each','opening','2026-12-01','clerk','','stock.xlsx!Stock!C2','',NULL);
INSERT INTO "movements" VALUES(2,1,'GLUE','',25,1,'mL','opening','2026-12-01','clerk','','stock.xlsx!Stock!C3','',NULL);
INSERT INTO "movements" VALUES(3,2,'CLIP','A1',-4,1,'each','issued','2026-12-01','bench 1','J-1','returns-2026-W49.xlsx!Lines!I2','',NULL);
INSERT INTO "movements" VALUES(4,2,'GLUE','',-1,10,'mL','issued','2026-12-01','bench 1','J-1','','',NULL);
CREATE TABLE uses (
    closing INTEGER NOT NULL REFERENCES closings (id), job TEXT NOT NULL, day TEXT NOT NULL,
    frame TEXT NOT NULL, key TEXT NOT NULL, name TEXT NOT NULL, part TEXT NOT NULL, unit TEXT NOT NULL,
    planned TEXT NOT NULL, used TEXT NOT NULL, reason TEXT NOT NULL
);
INSERT INTO "uses" VALUES(2,'J-1','2026-12-01','ZB-1','adjustment[1].disturbed[1]','CLIP','CLIP','each','4','4','');
CREATE INDEX movements_of_part ON movements (part);
CREATE INDEX movements_of_closing ON movements (closing);
CREATE TRIGGER movements_counted AFTER INSERT ON movements BEGIN
    INSERT INTO balances VALUES (new.part, new.bin, new.unit, new.per, new.amount)
    ON CONFLICT DO UPDATE SET amount = amount + excluded.amount;
END;
CREATE TRIGGER closings_not_update BEFORE UPDATE ON closings BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER closings_not_delete BEFORE DELETE ON closings BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER finished_not_update BEFORE UPDATE ON finished BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER finished_not_delete BEFORE DELETE ON finished BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER movements_not_update BEFORE UPDATE ON movements BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER movements_not_delete BEFORE DELETE ON movements BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER uses_not_update BEFORE UPDATE ON uses BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
CREATE TRIGGER uses_not_delete BEFORE DELETE ON uses BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
PRAGMA user_version = 1;
COMMIT;
