"""Words of the trade in other tongues for our headings and sheets, by which a first match is offered.

From dictionaries and common usage, from memory: German, French, Spanish, Italian, Dutch, Portuguese, Swedish
and Polish. A word is only ever matched whole. What is matched by one is written into the settings, where it
shows.
"""

from collections.abc import Mapping
from dataclasses import replace

from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.sheets.tables.headings import SheetKind, key_of

PARTS = (
    "teilenummer; teile-nr; teilenr; teil; artikelnummer; artikel-nr; artikelnr; art.-nr; artikel; "
    "sachnummer; référence; réf; numéro de pièce; n° pièce; code article; article; pièce; referencia; "
    "ref; número de pieza; nº pieza; código; pieza; código de artículo; codice; codice articolo; "
    "articolo; numero parte; onderdeelnummer; onderdeel; artikelcode; referência; código da peça; peça; "
    "detaljnummer; numer części; nr części; indeks; sku; stock code; material; component; part id; "
    "catalog no; catalogue no; mfr part no; ref no; stock no; item code; item id"
)
QUANTITIES = (
    "menge; anzahl; stückzahl; quantité; qté; cantidad; cant; quantità; q.tà; hoeveelheid; aantal; "
    "quantidade; qtd; antal; ilość; liczba; amount; number; no of pieces"
)
STOCK_WORDS: Mapping[str, str] = {
    "part": PARTS,
    "description": (
        "bezeichnung; beschreibung; benennung; artikelbezeichnung; désignation; description; libellé; "
        "descripción; denominación; descrizione; denominazione; omschrijving; beschrijving; descrição; "
        "designação; beskrivning; benämning; opis; nazwa; details; part name; item name; name; title"
    ),
    "kind": ("art; teileart; gruppe; famille; tipo; categoria; soort; typ; rodzaj; group; class"),
    "thread": ("gewinde; filetage; rosca; filettatura; filetto; schroefdraad; draad; gänga; gwint"),
    "length": ("länge; longueur; longitud; largo; lunghezza; lengte; comprimento; längd; długość"),
    "head": ("kopf; kopfform; tête; cabeza; testa; kop; cabeça; huvud; łeb"),
    "grade": ("festigkeit; festigkeitsklasse; güte; qualité; grado; klasse; hållfasthet; klasa"),
    "finish": (
        "oberfläche; beschichtung; finition; traitement; acabado; finitura; afwerking; acabamento; "
        "ytbehandling; powłoka"
    ),
    "bin": (
        "lagerplatz; lagerort; fach; platz; regal; emplacement; casier; ubicación; estante; ubicazione; "
        "scaffale; posizione; locatie; vak; localização; prateleira; hylla; lagerplats; lokalizacja; "
        "regał; rack; storage location; drawer; shelf location; stored in; where"
    ),
    "on hand": QUANTITIES
    + "; "
    + (
        "bestand; lagerbestand; istbestand; vorrat; en stock; stock; stock actuel; existencias; stock "
        "actual; giacenza; disponibilità; scorta; voorraad; op voorraad; estoque; em estoque; saldo; i "
        "lager; lagersaldo; stan; stan magazynowy; na stanie; available; qty available; qty avail; "
        "current stock; stock qty; stock level; balance; count; in hand; soh; qoh; quantity in stock; "
        "current qty"
    ),
    "allocated": (
        "reserviert; réservé; reservado; riservato; impegnato; gereserveerd; reserverad; zarezerwowane"
    ),
    "unit": (
        "einheit; me; mengeneinheit; unité; unidad; unità; u.m.; eenheid; unidade; enhet; jednostka; "
        "j.m.; sold by; packaging"
    ),
    "pack": (
        "packung; vpe; verpackungseinheit; gebinde; conditionnement; colisage; envase; paquete; "
        "confezione; verpakking; embalagem; förpackning; opakowanie; pack of; pieces per pack"
    ),
    "minimum order": (
        "mindestbestellmenge; quantité minimum; pedido mínimo; ordine minimo; minimale bestelling"
    ),
    "lead time days": (
        "lieferzeit; lieferzeit tage; délai; délai jours; plazo; plazo días; tempi giorni; levertijd; "
        "levertijd dagen; prazo; leveranstid; czas dostawy"
    ),
    "supplier": (
        "lieferant; fournisseur; proveedor; fornitore; leverancier; fornecedor; leverantör; dostawca; "
        "source; manufacturer"
    ),
    "price": (
        "preis; einzelpreis; stückpreis; prix; prix unitaire; precio; precio unitario; prezzo; prezzo "
        "unitario; prijs; preço; pris; cena; cost; unit cost; cost each"
    ),
    "currency": ("währung; devise; moneda; valuta; moeda; waluta"),
    "safety stock": (
        "sicherheitsbestand; mindestbestand; stock de sécurité; stock de seguridad; scorta minima; "
        "minimumvoorraad; minsta lager"
    ),
    "reorder point": (
        "meldebestand; bestellpunkt; seuil; punto de pedido; punto di riordino; bestelpunt; beställningspunkt"
    ),
}
JOB_WORDS: Mapping[str, str] = {
    "job": (
        "auftrag; auftragsnummer; auftrags-nr; auftragsnr; ordre; n° ordre; ordre de travail; commande; "
        "orden; nº orden; orden de trabajo; trabajo; ordine; commessa; lavoro; opdracht; order; "
        "opdrachtnummer; ordem; ordem de serviço; arbetsorder; zlecenie; ticket; wo; wo no; order no; "
        "reference"
    ),
    "date": (
        "datum; tag; termin; date prévue; jour; fecha; día; data; giorno; dag; planerad; termin "
        "wykonania; due; due date; when; scheduled; booked for"
    ),
    "frame": (
        "rahmen; rahmentyp; modell; cadre; châssis; modèle; chasis; bastidor; modelo; telaio; modello; "
        "frame; ram; rama; model; chair model; chair type"
    ),
    "from": (
        "von; ist; jetzt; ist-maß; de; actuel; taille actuelle; desde; actual; medida actual; da; "
        "attuale; misura attuale; van; huidig; från; nu; od; current; present size"
    ),
    "to": (
        "bis; soll; auf; neu; soll-maß; à; souhaité; nouvelle taille; hasta; nuevo; medida nueva; nueva; "
        "a; nuovo; misura nuova; naar; nieuw; para; till; ny; do; target; requested; new"
    ),
    "adjustment": ("verstellung; maß; réglage; ajuste; regolazione; afstelling; justering"),
    "options": ("optionen; zubehör; opciones; opzioni; opties; opções; tillval; accessories"),
    "side": ("seite; côté; lado; lato; zijde; sida; strona"),
    "chairs": ("stühle; fauteuils; sillas; sedie; stoelen; stolar; anzahl; quantité; cantidad"),
    "priority": ("priorität; dringlichkeit; priorité; prioridad; priorità; prioriteit; prioritet"),
    "technician": ("techniker; monteur; technicien; técnico; tecnico; tekniker; mechanic; assigned to"),
    "asset": ("gerät; seriennummer; inventarnummer; n° série; nº serie; matricola; serienummer; chair"),
    "notes": (
        "bemerkung; bemerkungen; notiz; remarques; observations; notas; observaciones; note; opmerkingen; "
        "anmärkning; uwagi"
    ),
}
ORDER_WORDS: Mapping[str, str] = {
    "order": ("bestellung; bestellnummer; bestell-nr; commande; n° commande; pedido; ordine; bestelling"),
    "part": PARTS,
    "quantity": QUANTITIES,
    "due": (
        "liefertermin; fällig; lieferdatum; livraison; date de livraison; entrega; fecha de entrega; "
        "consegna; leverdatum; leverans; eta"
    ),
}
USAGE_WORDS: Mapping[str, str] = {
    "date": ("datum; tag; jour; fecha; data; dag"),
    "part": PARTS,
    "quantity": QUANTITIES + "; " + ("verbrauch; consommé; consumido; consumato; verbruik"),
}
NAMES: Mapping[str, str] = {
    JOBS.name: (
        "aufträge; auftrag; plan; planung; wochenplan; travaux; ordres; trabajos; órdenes; lavori; "
        "commesse; opdrachten; werkorders; work orders; schedule; refits; zlecenia"
    ),
    STOCK.name: (
        "bestand; lager; lagerbestand; inventar; inventur; inventaire; inventario; existencias; "
        "magazzino; voorraad; estoque; inventory; parts; parts list; magazyn; lagerlista"
    ),
    ON_ORDER.name: (
        "bestellungen; commandes; pedidos; ordini; bestellingen; orders; open orders; purchase orders; "
        "offene bestellungen"
    ),
    SUPPLIERS.name: ("lieferanten; fournisseurs; proveedores; fornitori; leveranciers; vendors"),
    PRICE_BREAKS.name: ("staffelpreise; preisstaffeln; quantity prices"),
    USAGE.name: ("verbrauch; entnahmen; consommation; consumo; verbruik; used; issues"),
}
"""What a sheet may be called, by our name for it."""


def split(words: str) -> tuple[str, ...]:
    """The words of a list, each once."""
    return tuple(dict.fromkeys(word.strip() for word in words.split(";")))


def _with_words(kind: SheetKind, words: Mapping[str, str]) -> SheetKind:
    """The kind with more synonyms; a word of ours, or one that means two things here, is left out."""
    known = {key_of(word) for heading, own in kind.headings.items() for word in (heading, *own)}
    more = {heading: split(listed) for heading, listed in words.items()}
    every = [key_of(word) for listed in more.values() for word in listed]

    def not_known(word: str) -> bool:
        return key_of(word) not in known and every.count(key_of(word)) == 1

    headings = {
        heading: (
            *own,
            *(word for word in more.get(heading, ()) if not_known(word)),
        )
        for heading, own in kind.headings.items()
    }
    return replace(kind, headings=headings)


KINDS = (
    _with_words(JOBS, JOB_WORDS),
    _with_words(STOCK, STOCK_WORDS),
    _with_words(ON_ORDER, ORDER_WORDS),
    SUPPLIERS,
    PRICE_BREAKS,
    _with_words(USAGE, USAGE_WORDS),
)
"""The kinds of sheet with their words in other tongues."""
OURS = {kind.name: kind for kind in (JOBS, STOCK, ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)}
