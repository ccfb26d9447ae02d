"""The table `fixing` of a system's file: values, one sentence for every mistake, and written."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.systems.fixing import PRACTICE, Fixing, TrimFixing
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.system_writer import system_text
from roofmodel_io.systems_toml import parse_system

IN = 25.4
FOLDER = Path(__file__).parents[2] / "io/roofmodel_io/data/systems"
TOML = (FOLDER / "ribbed_panel.toml").read_text("utf-8")
BEFORE = TOML[: TOML.index("\n[fixing]\n")] + "\n"


def test_the_built_in_values() -> None:
    ribbed, seam = built_in_systems()
    assert ribbed.fixing.screws.field == 36 * IN
    assert ribbed.fixing.screws.edge == pytest.approx(24 * IN)
    assert ribbed.fixing.screws.end_distance == pytest.approx(3 * IN)
    # past the eave line, which lies as far in from the panel's end as the metal runs past it
    assert ribbed.fixing.screws.end_distance > ribbed.shifts[EdgeKind.EAVE]
    assert "where wood is" in ribbed.fixing.source_of("screws.end_distance")
    assert ribbed.fixing.screws.least_gap == pytest.approx(6 * IN)
    assert seam.fixing.clips.least_gap == pytest.approx(6 * IN)
    for fixing, key in ((ribbed.fixing, "screws.least_gap"), (seam.fixing, "clips.least_gap")):
        assert fixing.source_of(key).startswith(PRACTICE)
    assert ribbed.fixing.trim_of("eave drip edge").screw == "pancake screw"
    assert ribbed.fixing.tape.edges[EdgeKind.HIP] == 2
    assert ribbed.fixing.pack_of("butyl tape roll").size == 13716
    assert "maker's tested listing" in ribbed.fixing.source_of("screws.field")
    assert EdgeKind.EAVE in ribbed.fixing.closures.inside
    assert seam.fixing.clips.field == pytest.approx(24 * IN)
    assert seam.fixing.trim_of("Z closure").tape == 2
    assert not seam.fixing.closures.outside


@pytest.mark.parametrize("system", built_in_systems(), ids=lambda s: s.id)
def test_parts_that_are_named_are_in_the_trim(system: RoofingSystem) -> None:
    parts = {rule.part for rules in system.trim.values() for rule in rules}
    assert set(system.fixing.trim) <= parts


@pytest.mark.parametrize("system", built_in_systems(), ids=lambda s: s.id)
def test_what_is_written_reads_back_the_same(system: RoofingSystem) -> None:
    name = 'a "new" part\\'
    caps = tuple(msgspec.structs.replace(r, part=name) for r in system.trim[EdgeKind.HIP])[:1]
    odd = msgspec.structs.replace(
        system.fixing,
        trim={**system.fixing.trim, name: TrimFixing(spacing=100.0, source="é 3")},
        zone=msgspec.structs.replace(system.fixing.zone, width=1000.0),
    )
    whole = msgspec.structs.replace(system, trim={**system.trim, EdgeKind.DECK_EDGE: caps})
    for fixing in (system.fixing, odd, Fixing()):
        again = parse_system(
            system_text(msgspec.structs.replace(whole, fixing=fixing)), "again.toml"
        )
        parts = {rule.part for rules in whole.trim.values() for rule in rules}
        assert again.fixing.trim == {k: v for k, v in fixing.trim.items() if k in parts}
        assert msgspec.structs.replace(again.fixing, trim=fixing.trim) == fixing


def test_a_part_that_the_trim_does_not_have_is_refused_but_not_written() -> None:
    ribbed = next(s for s in built_in_systems() if s.id == "ribbed_panel")
    wrong = '[fixing.trim."eave drip edg"]'
    with pytest.raises(FileError, match="did you mean 'eave drip edge'"):
        parse_system(TOML.replace('[fixing.trim."eave drip edge"]', wrong), "my.toml")
    trim = {**ribbed.fixing.trim, "gable cap": TrimFixing()}
    fixing = msgspec.structs.replace(ribbed.fixing, trim=trim)
    text = system_text(msgspec.structs.replace(ribbed, fixing=fixing))
    assert parse_system(text, "again.toml").fixing == ribbed.fixing


def test_it_may_be_left_out() -> None:
    assert parse_system(BEFORE, "plain.toml").fixing == Fixing()


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("field = 36.0", 'field = "wide"', ("fixing.screws.field", "number of inches")),
        ("field = 36.0", "feild = 36.0", ("fixing.screws.feild", "did you mean 'field'")),
        ("field = 36.0", "field = 0.0", ("screws.field", "1 in")),
        ("least_gap = 6.0", "least_gap = 600.0", ("screws.least_gap", "10 ft")),
        ("least_gap = 6.0", "least_gap = nan", ("fixing.screws.least_gap", "number of inches")),
        ("least_gap = 6.0", "lest_gap = 6.0", ("did you mean 'least_gap'",)),
        ("per_rib = 1 ", "per_rib = 1.5 ", ("fixing.screws.per_rib", "whole number")),
        ("per_rib = 1 ", "per_rib = true ", ("fixing.screws.per_rib", "whole number")),
        *(("per_rib = 1 ", f"per_rib = {wrong} ", ("fixing.screws.per_rib", "whole number"))
          for wrong in ("nan", "inf", "-inf", "1e400")),
        *(("rivets = 4", f"rivets = {wrong}", ("fixing.other_trim.rivets", "whole number"))
          for wrong in ("nan", "inf")),
        ('"valley" = 2', '"valley" = nan', ("fixing.tape.edges.valley", "whole number")),
        ("size = 250", "size = inf", ("fixing.packs.panel screw.size", "whole number")),
        ("boot_screws = 8", "boot_screws = 1e400", ("fixing.boot_screws", "whole number")),
        ("boot_screws = 8", 'boot_screws = "8"', ("fixing.boot_screws", "whole number")),
        ('"ridge", "hip"]\n\n# Parts', '"ridge", "hop"]\n\n# Parts',
         ("fixing.zone.kinds", "kinds of edges")),
        ('screw = "trim screw"', 'screw = "nail"', ("fixing.other_trim.screw", "pancake screw")),
        ("rivets = 4", "rivets = -4", ("fixing.other_trim.rivets", "0 or more")),
        ('[fixing.trim."valley pan"]\n', '[fixing.trim."valley pan"]\nwide = 1\n',
         ("fixing.trim.valley pan.wide", "unknown")),
        ('"valley" = 2', '"valey" = 2', ("fixing.tape.edges.valey", "did you mean 'valley'")),
        ('"valley" = 2', '"valley" = 2.5', ("fixing.tape.edges.valley", "whole number")),
        ("[fixing.closures]", "[fixing.closure]", ("fixing.closure", "did you mean 'closures'")),
        ('[fixing.packs."rivet"]', '[fixing.packs."rivets"]', ("fixing.packs.rivets", "rivet")),
        ("spare = 0.1\n", "spare = 10\n", ("fixing.packs.butyl tape roll.spare", "share")),
        ("size = 540.0", "size = 0.0", ("must hold 1 or more",)),
        ("size = 250", "size = 250.5", ("fixing.packs.panel screw.size", "whole number")),
        ('"screws.edge" =', '"screws.edg" =', ("fixing.sources.screws.edg", "screws.edge")),
        ("[fixing.sealant]", "[fixing.sealant]\nedges = 3\n[fixing.x]", ("fixing.",)),
        ("side_laps = 1\nlow_slope = 0.25", "side_laps = 1\nlow_slope = -1",
         ("fixing.tape.low_slope", "pitch")),
    ],
)  # fmt: skip
def test_one_sentence_for_every_mistake(old: str, new: str, words: tuple[str, ...]) -> None:
    assert old in TOML
    head, tail = TOML[: len(BEFORE)], TOML[len(BEFORE) :]
    with pytest.raises(FileError) as caught:
        parse_system(head + tail.replace(old, new, 1), "my.toml")
    sentence = str(caught.value)
    assert sentence.startswith("my.toml: ")
    assert all(word in sentence for word in words)
    assert sentence.endswith((".", "?"))
    assert "\n" not in sentence
