"""The catalog as a whole: complete, versioned, and given to the snapshot as tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from etl import vocabulary
from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.settings import FirmSettings, read_settings
from etl.criteria.snapshot_tables import catalog_tables
from etl.errors import SettingsError


def test_the_version_changes_with_whatever_can_change_a_verdict(tmp_path: Path, catalog: Catalog) -> None:
    own = tmp_path / "criteria.toml"
    own.write_text(
        '[local]\njurisdiction = "Tallow County"\nregions = "all"\nauthor = "A. Tester"\ndate = 2026-01-31\n'
        '[[criterion]]\nid = "joist_gap.ours"\ntopic = "joist_gap"\ntitle = "Ours"\nuses = ["joist_gap_in"]\n'
        'defect = "joist_gap_in > 0.3"\nreason = { defect = "over" }\nplain = "Ours."\nweight = 3\n'
        'source = { document = "firm rule", known = "common practice" }\n'
    )
    versions = [
        catalog.version,
        load_catalog(FirmSettings(code_basis="IRC 2018")).version,
        load_catalog(FirmSettings(adopted={2021: 2023})).version,
        load_catalog(extra=own).version,
    ]

    assert len(set(versions)) == len(versions)
    assert load_catalog().version == catalog.version


def test_every_judged_topic_has_a_page_and_rules(catalog: Catalog) -> None:
    expected = {topic.id for topic in vocabulary.topics().values() if topic.judged}

    assert {criterion.topic for criterion in catalog.criteria} == expected
    assert set(catalog.pages) == expected


def test_the_tables_hold_every_topic_criterion_and_measure_once(catalog: Catalog) -> None:
    tables = {name: table.to_pylist() for name, table in catalog_tables(catalog).items()}

    assert [row["topic"] for row in tables["topics"]] == list(vocabulary.topics())
    assert [row["criterion_id"] for row in tables["criteria"]] == [criterion.id for criterion in catalog.criteria]
    assert [row["measure"] for row in tables["measures"]] == list(vocabulary.measures())
    by_topic = {row["topic"]: row for row in tables["topics"]}
    assert by_topic["guard_post"]["weight"] == 10
    assert by_topic["hanger_flange"]["weight"] == 1
    assert (by_topic["joist_span"]["built"], by_topic["deck_sway"]["built"]) == (True, False)
    assert "load capacity is not checked" in by_topic["hanger_size"]["caution"].lower()
    drop = next(row for row in tables["criteria"] if row["criterion_id"] == "guard_required.drop")
    assert (drop["section"], drop["known"]) == ("R312.1.1 (2024: R321.1.1)", "read")
    assert drop["needs"] == ["drop_in", "guard_present", "deck_height_in"]


def test_a_source_that_is_common_practice_names_no_document(catalog: Catalog) -> None:
    for criterion in catalog.criteria:
        practice = criterion.source.known == "common practice"
        assert practice == (criterion.source.document == "common practice, no published source"), criterion.id


# -- firm.toml


def test_no_file_means_the_defaults(tmp_path: Path) -> None:
    settings = read_settings(tmp_path / "firm.toml")

    assert (settings.code_basis, settings.adopted_year(2021), settings.adopted_year(2015)) == ("IRC 2021", 2022, 2016)


def test_settings_are_read(tmp_path: Path) -> None:
    path = tmp_path / "firm.toml"
    path.write_text('code_basis = "IRC 2018"\n[adopted]\n2021 = 2023\n')

    settings = read_settings(path)

    assert (settings.code_basis, settings.adopted_year(2021), settings.adopted_year(2018)) == ("IRC 2018", 2023, 2019)


@pytest.mark.parametrize(
    ("content", "key", "told"),
    [
        ('code_basis = "IRC 2020"', "code_basis", "or IRC and one of 2000, 2003"),
        ('code_basis = "our rules"', "code_basis", "or IRC and one of"),
        ("code_basis = 2021", "code_basis", "valid string"),
        ("[adopted]\n2020 = 2022", "adopted", "2020 is no edition"),
        ("[adopted]\n2021 = 2019", "adopted", "2019 cannot be the year"),
        ('[adopted]\n2021 = "soon"', "adopted.2021", "valid integer"),
        ("guideline = 1", "guideline", "no such setting; the settings are code_basis, adopted"),
        ("code_basis =", "", "not a TOML file"),
    ],
)
def test_a_wrong_setting_is_refused_by_file_key_and_value(tmp_path: Path, content: str, key: str, told: str) -> None:
    path = tmp_path / "firm.toml"
    path.write_text(content)

    with pytest.raises(SettingsError) as refused:
        read_settings(path)

    assert refused.value.key == key
    assert str(refused.value).startswith("firm.toml")
    assert told in str(refused.value)
