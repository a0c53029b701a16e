"""report.json keeps to its published schema: told by a validator that knows nothing of it."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

import flatten
from flatten.job.laid_out import grounds_of
from flatten.job.ornamented import drawings_of
from flatten.job.shop import read_prices
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.report.numbers import SCHEMA, json_text, report_numbers
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf as calf_of
from tests.limbs import cylinder, limb_of

SCHEME = flatten.report_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEME)

DRESSED = {
    "wear": {"under": "3 mm", "ease": "8 mm", "finished": "-1.2 %"},
    "leather": {"thickness": "3.2 mm"},
    "edges": {
        "bottom": "20 mm",
        "top": "300 mm",
        "flare": {"top": "5 mm"},
        "lines": {"bevel": "1 mm", "border": "5 mm"},
        "finish": {"bottom": "bound"},
    },
    "seam": [{"kind": "riveted", "overlap": "30 mm", "skive": "auto"}],
    "piece": {"pair": "mirrored", "symmetry": "centre line"},
    "lining": {"thickness": "1 mm"},
    "plate": [{"name": "wave", "around": [-20.0, 20.0], "heights": ["100 mm", "180 mm"]}],
    "mockup": {"material": "paper"},
    "fitting": [
        {"material": "paper", "showed": ["tight by 6 mm at the widest", "top edge touches behind at 90 degrees"]}
    ],
    "former": {"kind": "both"},
    "ornament": {"tool": "12 mm", "calm_only": False},
    "motif": [{"kind": "drawing", "file": "rings.svg", "width": "3 mm", "by": ["0 mm", "70 mm"]}],
}
"""Much that a maker may ask for at once."""

DRAWN = Path(__file__).parent.parent / "data" / "drawn"
"""Drawings for ornament."""

STRAPPED = {
    "edges": {"bottom": "150 mm", "top": "250 mm"},
    "seam": [{"kind": "strapped", "gap": "25 mm"}],
    "lames": [{}],
}

LACED = {
    "edges": {"bottom": "20 mm", "top": "300 mm"},
    "seam": [{"gap": "25 mm"}],
    "leather": {"limits": "dry"},
    "bed": {"width": "600 mm", "height": "400 mm"},
}


PRICED = {"shop": {"prices": "prices.toml", "hours": 6.5}, "seam": [{"name": "back"}], "piece": {"pair": "mirrored"}}
PRICES = 'currency = "kr"\nhourly = "20"\n[price]\n"leather 3.2 mm" = "12 per sq ft"\n[other]\ndye = "6.50"\n'


def made(skin, table, *, prices=None, **more):
    """What report.json holds of a job on a limb with a formula."""
    job = job_of({"scan": {"file": "made-up.ply", "side": "left"}, **table}, name="the test")
    found = found_on(skin, **more)
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)
    grounds = grounds_of(job, folder=Path())
    drawings = drawings_of(job, folder=DRAWN)
    told = {"grounds": grounds, "prices": prices, "drawings": drawings}
    done = finish(job, [(found, laid)], text="", **told, announce=lambda step: None)
    files = dict(done.files)
    return json.loads(files["report.json"])


@pytest.fixture(scope="module")
def reports(calf, tmp_path_factory):
    """Reports of three jobs that ask for much, of one with prices, and of one that found and advised things."""
    file = tmp_path_factory.mktemp("shop") / "prices.toml"
    file.write_text(PRICES, "utf-8")
    skins = limb_of(calf_of, high=400.0), cylinder(60.0), limb_of(calf_of, high=400.0)
    return [
        *(made(skin, table) for skin, table in zip(skins, (DRESSED, STRAPPED, LACED), strict=True)),
        made(cylinder(60.0), PRICED, prices=read_prices(file)),
        json.loads(json_text(report_numbers(calf))),
    ]


def errors(report):
    return [f"{list(each.absolute_path)}: {each.message}" for each in VALIDATOR.iter_errors(report)]


def test_the_schema_is_itself_a_schema_and_has_the_number_that_reports_have():
    jsonschema.Draft202012Validator.check_schema(SCHEME)
    assert SCHEME["properties"]["schema"]["const"] == SCHEMA
    assert SCHEME["$id"] == f"urn:calfskin:report:{SCHEMA}"
    text = files("flatten.report").joinpath("report.schema.json").read_text("utf8")
    assert json.loads(text) == SCHEME


def test_reports_of_all_sorts_of_jobs_keep_to_it(reports):
    for report in reports:
        assert errors(report) == []


def places(scheme, path=()):
    """Every place of a schema that holds a value of its own, by its path; a reference is followed."""
    if "$ref" in scheme:
        name = scheme["$ref"].removeprefix("#/$defs/")
        yield from () if name in ("figure", "finding") and path[-1:] == (name,) else places(SCHEME["$defs"][name], path)
        return
    for each in scheme.get("anyOf", ()):
        yield from places(each, path)
    if "properties" in scheme:
        for key, value in scheme["properties"].items():
            yield from places(value, (*path, key))
    elif "items" in scheme and "anyOf" not in scheme:
        yield from places(scheme["items"], (*path, "[]"))
    elif (path and scheme.get("type") not in ("null", None)) or "enum" in scheme or "const" in scheme:
        yield path


def held(value, path=()):
    """Every place of a report that holds more than null."""
    if isinstance(value, dict):
        yield path
        for key, each in value.items():
            yield from held(each, (*path, key))
    elif isinstance(value, list):
        for each in value:
            yield from held(each, (*path, "[]"))
    elif value is not None:
        yield path


NOT_MADE_HERE = {
    ("[]", "least_spread"),
    ("[]", "spread_reachable"),
    ("[]", "buckles"),
    ("[]", "touches"),
    ("[]", "wall"),
    ("[]", "sure"),
    ("[]", "key"),
    ("cut", "planned"),
    ("cut", "pin"),
    ("putting_on", "gap"),
    ("place", "limb"),
    ("place", "zero"),
    ("place", "height"),
    ("place", "side"),
    ("place", "bearing"),
}
"""Figures that are null in these jobs: bound and advice take long, and no two limbs or stops of each sort are made."""


def test_no_key_is_described_that_no_report_ever_fills(reports):
    filled = {path for report in reports for path in held(report)}
    missing = {path for path in places(SCHEME) if path not in filled and path[-2:] not in NOT_MADE_HERE}
    assert missing == set()


def subtables(value, path=()):
    """Every table of a report by its path."""
    if isinstance(value, dict):
        yield path, value
        for key, each in value.items():
            yield from subtables(each, (*path, key))
    elif isinstance(value, list):
        for number, each in enumerate(value[:1]):
            yield from subtables(each, (*path, number))


def cut_short(value):
    """A report with the first of each list alone, but places and sizes whole."""
    if isinstance(value, dict):
        return {key: cut_short(each) for key, each in value.items()}
    if isinstance(value, list):
        return value if len(value) in (2, 3) and not isinstance(value[0], dict) else [cut_short(v) for v in value[:1]]
    return value


def test_a_key_too_many_too_few_or_of_another_sort_is_told(reports):
    """Free are only the figures of sentences; one thing may leave a key out: holes that are round have no length."""
    report = cut_short(reports[0])
    assert VALIDATOR.is_valid(report)
    for path, table in list(subtables(report)):
        if "figures" in path:
            continue
        for key, value in list(table.items()):
            table[key] = {"neither": "number nor text"}
            assert not VALIDATOR.is_valid(report) or key == "figures", (path, key)
            del table[key]
            assert not VALIDATOR.is_valid(report) or (key == "length" and "holes" in path), (path, key)
            table[key] = value
        table["another"] = 1
        assert not VALIDATOR.is_valid(report), path
        del table["another"]
    assert VALIDATOR.is_valid(report)


def test_every_key_says_what_it_is():
    def described(scheme, path=()):
        for key, value in scheme.get("properties", {}).items():
            assert value.get("description") or "$ref" in value, (*path, key)
            described(value, (*path, key))
        for inner in (scheme.get("items"), *scheme.get("anyOf", ()), *scheme.get("$defs", {}).values()):
            if inner:
                described(inner, path)

    described(SCHEME)
