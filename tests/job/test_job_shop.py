"""The maker's own prices as they are read: by what the list calls a thing, and told where they make no sense."""

from decimal import Decimal

import pytest

from flatten.job.errors import JobError
from flatten.job.shop import prices_of, read_prices
from flatten.job.text import job_from, job_of, job_text, with_paths_from


def read(folder, text):
    (folder / "mine.toml").write_text(text, "utf-8")
    return read_prices(folder / "mine.toml")


def test_prices_are_read_as_they_are_written(tmp_path):
    found = read(tmp_path, 'currency = "kr"\nhourly = 18.10\n[price]\n"leather 8 oz" = "0.10 per sq ft"\nthread = ""\n')
    assert (found.currency, found.decimals, found.hourly) == ("kr", 2, Decimal("18.10"))
    # Eight ounces are 3.175 mm, and the list calls them 3.2 mm.
    assert list(found.price) == ["leather 3.2 mm", "thread"]
    assert found.price["leather 3.2 mm"].money == Decimal("0.10")
    assert found.price["thread"] is None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("currncy = 'kr'", "mine.toml: currncy is unknown; did you mean 'currency'?"),
        ("decimals = 2.5", "mine.toml: decimals is Decimal('2.5'); it must be a whole number from 0 to 4"),
        ("hourly = '12,50'", "mine.toml: hourly is '12,50'; write money as '12.50', decimals after a point"),
        ("price = 3", "mine.toml: price is 3; it must be a table of prices, [price]"),
        ("[other]\ndye = -1", 'mine.toml: [other] "dye" is -1; write money'),
        ("[other]\ndye = nan", "mine.toml: [other] \"dye\" is 'NaN'; write money"),
        (
            "[price]\n'eyelets 5 mm' = '1 each'",
            "[price] \"eyelets 5 mm\" is nothing to buy that is known; did you mean 'eyelet'?",
        ),
        (
            "[price]\nthread = '1 each'",
            "[price] \"thread\" is '1 each', and it is bought by length; write '0.30 per m'",
        ),
        (
            "[price]\nthread = '1 per furlong'",
            "[price] \"thread\" is for a 'furlong', which is no unit; write '0.30 per m'",
        ),
        ("[price]\nthread = 12", "[price] \"thread\" is 12; write '0.30 per m' or"),
        ("[price]\nthread = '0,30 per m'", "[price] \"thread\" is '0,30 per m'; write '0.30 per m'"),
        ("[price]\n'lace 900 mm' = '2 per pack of 0'", "and it is bought by count; write '0.20 each'"),
        ("[price]\n'leather' = '9 per sq ft'", '[price] "leather": '),
        (
            "[price]\n'leather 8 oz' = '1 per m²'\n'leather 3.2 mm' = '1 per m²'",
            'has a price twice, as "leather 3.2 mm"',
        ),
        ("[price\n", "the prices mine.toml are no TOML text"),
    ],
)
def test_what_is_wrong_is_told_with_key_and_place(tmp_path, text, told):
    with pytest.raises(JobError) as error:
        read(tmp_path, text)
    assert told in str(error.value)
    assert "\n" not in str(error.value)


def test_a_job_names_its_prices_beside_it(tmp_path):
    job = job_of({"scan": {"file": "leg.ply"}, "shop": {"prices": "mine.toml", "hours": 6.5}}, name="it")
    with pytest.raises(JobError, match=r"the prices mine.toml cannot be read: No such file"):
        prices_of(job.shop, folder=tmp_path)
    (tmp_path / "mine.toml").write_text('currency = "kr"\n', "utf-8")
    assert prices_of(job.shop, folder=tmp_path).currency == "kr"
    assert prices_of(job_of({"scan": {"file": "leg.ply"}}, name="it").shop, folder=tmp_path) is None
    moved = with_paths_from(job, folder=tmp_path, out=tmp_path / "out")
    assert moved.shop.prices == "../mine.toml"
    assert job_from(job_text(moved), name="it") == moved
