"""Settings: defaults without a file, exact values with one, every fault named by its key in one go."""

from datetime import date

import pytest

from reconcile.sheets.settings.file import read_settings
from reconcile.values.days import WorkDays
from reconcile.values.problem import Unusable
from reconcile.values.settings import Limits, Settings, Workshop

TODAY = date(2026, 11, 27)


def read(folder, text):
    path = folder / "reconcile.toml"
    path.write_text(text, encoding="utf-8")
    return read_settings(path, TODAY)


def faults(folder, text):
    """The faults of a settings text as flat (code, key) pairs, and what they say."""
    with pytest.raises(Unusable) as stopped:
        read(folder, text)
    for each in stopped.value.problems:
        assert each.place.file == "reconcile.toml"
        assert each.says[-1] == "." and each.did and each.do
    return [(each.code, each.place.cell) for each in stopped.value.problems], [
        each.says for each in stopped.value.problems
    ]


def test_without_a_file_the_defaults_hold(tmp_path):
    assert read_settings(None) == Settings()
    assert read_settings(tmp_path / "reconcile.toml", TODAY) == Settings()
    assert read(tmp_path, "") == Settings()


def test_every_key_is_read(tmp_path):
    text = """
    length_unit = "mm"
    date_order = "dmy"
    decimal = ","
    currency = "XTS"
    working_days = ["mon", "TUESDAY", "Thu"]
    holidays = [2026-12-25, "2026-12-26"]
    inspection_days = 2
    use_recovered = false
    exact_only = true
    patience = 2.5
    jobs = "plan/jobs.xlsx"
    stock = "stock"
    frames = "frames"
    csv_delimiter = "tab"
    csv_encoding = "Windows-1252"
    [limits]
    cells = 500
    [workshop]
    name = "Tern Lane Frame Workshop"
    address = "12 Tern Lane"
    city = "Ostwick"
    postal_code = "00417"
    country = "no"
    contact = "Stores desk"
    phone = "555 0100"
    email = "stores@ternlane.example"
    vat_id = "XX1234"
    tax_id = "55-0100"
    deliver_to = ["Gate B", "14 Tern Lane"]
    [headings]
    "On_Hand" = ["shelf count", "counted"]
    part = "Artikel"
    """
    assert read(tmp_path, text) == Settings(
        length_unit="mm",
        date_order="dmy",
        decimal=",",
        currency="XTS",
        days=WorkDays(frozenset({0, 1, 3}), frozenset({date(2026, 12, 25), date(2026, 12, 26)})),
        inspection_days=2,
        use_recovered=False,
        exact_only=True,
        patience=2.5,
        headings={"on hand": ("shelf count", "counted"), "part": ("Artikel",)},
        jobs="plan/jobs.xlsx",
        stock="stock",
        frames="frames",
        csv_delimiter="\t",
        csv_encoding="cp1252",
        limits=Limits(expanded_mb=200, cells=500),
        workshop=Workshop(
            name="Tern Lane Frame Workshop",
            address=("12 Tern Lane",),
            city="Ostwick",
            postal_code="00417",
            country="NO",
            contact="Stores desk",
            phone="555 0100",
            email="stores@ternlane.example",
            vat_id="XX1234",
            tax_id="55-0100",
            deliver_to=("Gate B", "14 Tern Lane"),
        ),
    )


@pytest.mark.parametrize(
    ("text", "key", "shown"),
    [
        ('working_day = ["Mon"]', "working_day", '"working_days"'),
        ('length_unit = "cm"', "length_unit", '"cm"'),
        ('date_order = "ymd"', "date_order", '"ymd"'),
        ('decimal = ";"', "decimal", '";"'),
        ('csv_delimiter = "a"', "csv_delimiter", '"a"'),
        ('csv_delimiter = ";;"', "csv_delimiter", '";;"'),
        ("csv_delimiter = 9", "csv_delimiter", "9"),
        ('csv_encoding = "utf-9"', "csv_encoding", '"utf-9"'),
        ("limits = 3", "limits", "3"),
        ("[limits]\ncells = 0", "limits.cells", "0"),
        ("[limits]\nexpanded_mb = 0.5", "limits.expanded_mb", "0.5"),
        ("[limits]\nrows = 5", "limits.rows", "rows"),
        ('workshop = "Tern Lane"', "workshop", "Tern Lane"),
        ('[workshop]\ncountry = "Norway"', "workshop.country", '"Norway"'),
        ("[workshop]\npostal_code = 417", "workshop.postal_code", "417"),
        ("[workshop]\naddress = []", "workshop.address", "empty"),
        ('[workshop]\ndeliver_to = ["Gate B", 14]', "workshop.deliver_to[2]", "14"),
        ('[workshop]\nstreet = "12"', "workshop.street", "street"),
        ('currency = "eur"', "currency", '"eur"'),
        ('currency = "EURO"', "currency", '"EURO"'),
        ("working_days = []", "working_days", "empty"),
        ('working_days = "Mon"', "working_days", '"Mon"'),
        ('working_days = ["Mon", "Lundi"]', "working_days[2]", '"Lundi"'),
        ("working_days = [1]", "working_days[1]", "1"),
        ('holidays = ["25/12/2026"]', "holidays[1]", '"25/12/2026"'),
        ('holidays = ["2026-02-30"]', "holidays[1]", '"2026-02-30"'),
        ("holidays = [2026-12-25T10:00:00]", "holidays[1]", "2026-12-25T10:00:00"),
        ("inspection_days = 0", "inspection_days", "0"),
        ("inspection_days = 1.5", "inspection_days", "1.5"),
        ("inspection_days = true", "inspection_days", "true"),
        ('use_recovered = "yes"', "use_recovered", '"yes"'),
        ("use_recovered = 1", "use_recovered", "1"),
        ("exact_only = 1", "exact_only", "1"),
        ('patience = "long"', "patience", '"long"'),
        ("patience = -1", "patience", "-1"),
        ("patience = true", "patience", "true"),
        ("patience = nan", "patience", "nan"),
        ("patience = inf", "patience", "inf"),
        ("jobs = 3", "jobs", "3"),
        ('headings = ["shelf count"]', "headings", '"shelf count"'),
        ('[headings]\n"on hand" = 3', 'headings."on hand"', "3"),
        ('[headings]\npart = ["Artikel", ""]', "headings.part[2]", '""'),
        ("[headings]\npart = []", "headings.part", "empty"),
        ('subdivision = "ZH"', "subdivision", '"ZH"'),
    ],
)
def test_one_fault_is_named_by_its_key_and_repeated(tmp_path, text, key, shown):
    pairs, says = faults(tmp_path, text)
    assert pairs == [("settings-key", key)]
    assert shown in says[0]


def test_every_fault_is_found_in_one_go(tmp_path):
    text = 'lenght_unit = "in"\ncurrency = "x"\ninspection_days = 0\n[headings]\npart = 1'
    pairs, _ = faults(tmp_path, text)
    assert pairs == [
        ("settings-key", "lenght_unit"),
        ("settings-key", "currency"),
        ("settings-key", "inspection_days"),
        ("settings-key", "headings.part"),
    ]


def test_what_is_not_toml_is_named_by_its_line(tmp_path):
    pairs, says = faults(tmp_path, "inspection_days = 1\nuse_recovered = yes\n")
    assert pairs == [("settings-unreadable", "line 2")]
    assert '"use_recovered = yes"' in says[0]


def test_a_folder_in_place_of_the_file_cannot_be_read(tmp_path):
    with pytest.raises(Unusable) as stopped:
        read_settings(tmp_path, TODAY)
    assert [each.code for each in stopped.value.problems] == ["file-unreadable"]


def test_headings_are_held_against_those_that_are_known(tmp_path):
    text = '[headings]\n"on hnd" = "shelf count"\npart = "Artikel"'
    pairs, says = faults(tmp_path, text)
    assert pairs == [("settings-key", 'headings."on hnd"')]
    assert '"on hand"' in says[0]


@pytest.mark.slow
def test_a_country_adds_its_public_holidays_for_the_years_around_today(tmp_path):
    settings = read(tmp_path, 'country = "ch"\nsubdivision = "ZH"\nholidays = [2026-11-30]')
    holidays = settings.days.holidays
    assert {date(2026, 11, 30), date(2026, 8, 1), date(2026, 12, 25)} <= holidays
    assert {day.year for day in holidays} == {2025, 2026, 2027, 2028, 2029}
    assert (settings.country, settings.subdivision) == ("ch", "ZH")


def test_a_country_or_subdivision_that_is_not_known_is_named(tmp_path):
    assert faults(tmp_path, 'country = "ZZ"')[0] == [("settings-key", "country")]
    pairs, says = faults(tmp_path, 'country = "CH"\nsubdivision = "QQ"')
    assert pairs == [("settings-key", "subdivision")]
    assert '"QQ"' in says[0]
