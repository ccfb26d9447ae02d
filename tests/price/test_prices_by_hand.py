"""Whole prices of four paper-sized houses in both systems by the invented sample book, every line.

How much of each good there is was worked by hand beside the tests of the take-off: panels in
tests/takeoff/test_cut_lists.py, trim in test_trim_by_hand.py, fasteners and sealing in
test_goods_by_hand.py and test_goods_by_hand_seam.py, underlayment and membrane in
test_work_by_hand.py. Panels are sold by the foot: the lengths of all strips added, three decimals,
half up. Lengths of edges: gable 40 by 24 ft at 6/12, eaves 80, ridge 40, rakes 4 × 13.416408 =
53.666; hip 40 by 24, eaves 128, ridge 16, hips 4 × 18; shed 20 by 10 at 3/12, eave and high eave
40, rakes 2 × 10.307764 = 20.616. Hours: measure × hours of the book, three decimals.

Each row: good or task | amount | price of one | price. The last: materials | work | overhead 12 %
of both | margin, so that it is 25 % of the price before tax | tax 6 % of materials | price to the
whole dollar.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

import pytest

from roofmodel.document import Opening, Section
from roofmodel.document.offer_edits import set_prices
from roofmodel.price.money import cents
from roofmodel.quoting import price_of
from roofmodel.results import results_of
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.prices_toml import sample_prices
from tests.houses import GABLE, RECTANGLE, box, opening, project, section

_GABLE = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9)
HOUSES: Final[dict[str, tuple[Section | Opening, ...]]] = {
    "shed": (section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE), eave_ft=9),),
    "gable": (_GABLE,),
    "hip": (section(RECTANGLE, (0.5,) * 4, eave_ft=9),),
    "chimney": (
        _GABLE,
        opening(box(18, 4, 22, 6)),
        opening(box(30, 16, 30.5, 16.5), "pipe", opening_id="o2"),
    ),
}
BY_HAND: Final[dict[tuple[str, str], str]] = {
    # 7 strips of 123.693 + 3 = 126.693 in; 20 ft by that is 2.112 squares, the plane has 2.062
    ("shed", "ribbed_panel"): """
        panel:ribbed_panel | 73.904 | 3.45 | 254.97
        trim:rake trim | 4 | 24.00 | 96.00
        trim:eave drip edge | 2 | 16.50 | 33.00
        trim:high-eave cap | 2 | 28.00 | 56.00
        panel screw | 2 | 27.50 | 55.00
        stitch screw | 1 | 25.00 | 25.00
        pancake screw | 1 | 22.00 | 22.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 1 | 7.25 | 7.25
        sealant tube | 1 | 8.90 | 8.90
        inside closure | 7 | 1.35 | 9.45
        outside closure | 7 | 1.35 | 9.45
        synthetic underlayment | 1 | 138.00 | 138.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 0.722 | 48.00 | 34.66
        Lay ribbed panels | 3.379 | 48.00 | 162.19
        Eave trim | 1.2 | 48.00 | 57.60
        Rake trim | 1.031 | 48.00 | 49.49
        = 760.52 | 879.94 | 196.86 | 612.44 | 45.63 | 2495.00
    """,
    # 15 strips of 126.193 in (3/4 past the eave and high eave, 1 hem at the eave)
    ("shed", "standing_seam"): """
        panel:standing_seam | 157.741 | 3.10 | 489.00
        trim:seam rake trim | 4 | 24.00 | 96.00
        trim:rake cleat | 2 | 12.50 | 25.00
        trim:eave edge | 2 | 21.00 | 42.00
        trim:seam high-eave cap | 2 | 28.00 | 56.00
        trim:Z closure | 2 | 14.00 | 28.00
        clip | 2 | 58.00 | 116.00
        pancake screw | 2 | 22.00 | 44.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 1 | 7.25 | 7.25
        sealant tube | 1 | 8.90 | 8.90
        synthetic underlayment | 1 | 138.00 | 138.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 0.722 | 48.00 | 34.66
        Lay standing seam | 5.844 | 48.00 | 280.51
        Eave trim | 1.2 | 48.00 | 57.60
        Rake trim | 1.031 | 48.00 | 49.49
        = 1095.65 | 998.26 | 251.27 | 781.73 | 65.74 | 3193.00
    """,
    # 28 strips of 160.997 + 1.5 - 1 = 161.497 in; 2 x 40 ft by that is 10.766 squares
    ("gable", "ribbed_panel"): """
        panel:ribbed_panel | 376.826 | 3.45 | 1300.05
        trim:rake trim | 6 | 24.00 | 144.00
        trim:eave drip edge | 8 | 16.50 | 132.00
        trim:ridge cap | 4 | 31.00 | 124.00
        panel screw | 5 | 27.50 | 137.50
        stitch screw | 1 | 25.00 | 25.00
        pancake screw | 1 | 22.00 | 22.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 4 | 7.25 | 29.00
        sealant tube | 1 | 8.90 | 8.90
        inside closure | 27 | 1.35 | 36.45
        outside closure | 27 | 1.35 | 36.45
        synthetic underlayment | 2 | 138.00 | 276.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 3.757 | 48.00 | 180.34
        Lay ribbed panels | 17.226 | 48.00 | 826.85
        Eave trim | 2.4 | 48.00 | 115.20
        Rake trim | 2.683 | 48.00 | 128.78
        Ridge caps | 2.8 | 48.00 | 134.40
        = 2316.85 | 1961.57 | 513.41 | 1597.28 | 139.01 | 6528.00
    """,
    # 60 strips of 160.997 + 0.75 - 1.5 + 1 = 161.247 in; without the hem 10.683 squares
    ("gable", "standing_seam"): """
        panel:standing_seam | 806.234 | 3.10 | 2499.33
        trim:seam rake trim | 6 | 24.00 | 144.00
        trim:rake cleat | 6 | 12.50 | 75.00
        trim:eave edge | 8 | 21.00 | 168.00
        trim:seam ridge cap | 4 | 31.00 | 124.00
        trim:Z closure | 8 | 14.00 | 112.00
        clip | 7 | 58.00 | 406.00
        pancake screw | 6 | 22.00 | 132.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 4 | 7.25 | 29.00
        sealant tube | 1 | 8.90 | 8.90
        synthetic underlayment | 2 | 138.00 | 276.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 3.757 | 48.00 | 180.34
        Lay standing seam | 29.912 | 48.00 | 1435.78
        Eave trim | 2.4 | 48.00 | 115.20
        Rake trim | 2.683 | 48.00 | 128.78
        Ridge caps | 2.8 | 48.00 | 134.40
        = 4019.73 | 2570.50 | 790.83 | 2460.35 | 241.18 | 10083.00
    """,
    # lengths of the strips as in tests/takeoff/test_cut_lists.py
    ("hip", "ribbed_panel"): """
        panel:ribbed_panel | 413.697 | 3.45 | 1427.25
        trim:eave drip edge | 13 | 16.50 | 214.50
        trim:hip cap | 8 | 31.00 | 248.00
        trim:ridge cap | 2 | 31.00 | 62.00
        panel screw | 6 | 27.50 | 165.00
        stitch screw | 1 | 25.00 | 25.00
        pancake screw | 1 | 22.00 | 22.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 9 | 7.25 | 65.25
        sealant tube | 1 | 8.90 | 8.90
        inside closure | 43 | 1.35 | 58.05
        outside closure | 59 | 1.35 | 79.65
        synthetic underlayment | 2 | 138.00 | 276.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 3.757 | 48.00 | 180.34
        Lay ribbed panels | 17.194 | 48.00 | 825.31
        Eave trim | 3.84 | 48.00 | 184.32
        Ridge caps | 1.12 | 48.00 | 53.76
        Hip caps | 7.2 | 48.00 | 345.60
        = 2697.10 | 2165.33 | 583.49 | 1815.31 | 161.83 | 7423.00
    """,
    # lengths of the strips as in tests/takeoff/test_cut_lists.py
    ("hip", "standing_seam"): """
        panel:standing_seam | 855.775 | 3.10 | 2652.90
        trim:eave edge | 13 | 21.00 | 273.00
        trim:seam hip cap | 8 | 31.00 | 248.00
        trim:Z closure | 20 | 14.00 | 280.00
        trim:seam ridge cap | 2 | 31.00 | 62.00
        clip | 7 | 58.00 | 406.00
        pancake screw | 7 | 22.00 | 154.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 9 | 7.25 | 65.25
        sealant tube | 1 | 8.90 | 8.90
        synthetic underlayment | 2 | 138.00 | 276.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 3.757 | 48.00 | 180.34
        Lay standing seam | 29.663 | 48.00 | 1423.82
        Eave trim | 3.84 | 48.00 | 184.32
        Ridge caps | 1.12 | 48.00 | 53.76
        Hip caps | 7.2 | 48.00 | 345.60
        = 4471.55 | 2763.84 | 868.25 | 2701.21 | 268.29 | 11073.00
    """,
    # the gable's, less what the chimney and its set-backs take out of two strips
    ("chimney", "ribbed_panel"): """
        panel:ribbed_panel | 374.257 | 3.45 | 1291.19
        trim:rake trim | 6 | 24.00 | 144.00
        trim:eave drip edge | 8 | 16.50 | 132.00
        trim:side flashing | 1 | 26.00 | 26.00
        trim:apron flashing | 1 | 26.00 | 26.00
        trim:back pan | 1 | 44.00 | 44.00
        trim:ridge cap | 4 | 31.00 | 124.00
        panel screw | 5 | 27.50 | 137.50
        stitch screw | 1 | 25.00 | 25.00
        pancake screw | 1 | 22.00 | 22.00
        trim screw | 2 | 27.50 | 55.00
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 5 | 7.25 | 36.25
        sealant tube | 1 | 8.90 | 8.90
        inside closure | 28 | 1.35 | 37.80
        outside closure | 28 | 1.35 | 37.80
        pipe boot | 1 | 21.00 | 21.00
        synthetic underlayment | 2 | 138.00 | 276.00
        high-temperature membrane | 1 | 122.00 | 122.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 3.724 | 48.00 | 178.75
        Lay ribbed panels | 17.058 | 48.00 | 818.78
        Eave trim | 2.4 | 48.00 | 115.20
        Rake trim | 2.683 | 48.00 | 128.78
        Ridge caps | 2.8 | 48.00 | 134.40
        Chimneys, skylights, pipes | 6 | 48.00 | 288.00
        = 2584.44 | 2239.91 | 578.92 | 1801.09 | 155.07 | 7359.00
    """,
    # the gable's, less what the chimney and its set-backs take out of its strips
    ("chimney", "standing_seam"): """
        panel:standing_seam | 801.096 | 3.10 | 2483.40
        trim:seam rake trim | 6 | 24.00 | 144.00
        trim:rake cleat | 6 | 12.50 | 75.00
        trim:eave edge | 8 | 21.00 | 168.00
        trim:seam side flashing | 1 | 26.00 | 26.00
        trim:Z closure | 9 | 14.00 | 126.00
        trim:seam apron flashing | 1 | 26.00 | 26.00
        trim:back pan | 1 | 44.00 | 44.00
        trim:seam ridge cap | 4 | 31.00 | 124.00
        clip | 7 | 58.00 | 406.00
        pancake screw | 6 | 22.00 | 132.00
        trim screw | 1 | 27.50 | 27.50
        rivet | 1 | 18.00 | 18.00
        butyl tape roll | 5 | 7.25 | 36.25
        sealant tube | 1 | 8.90 | 8.90
        pipe boot | 1 | 21.00 | 21.00
        synthetic underlayment | 2 | 138.00 | 276.00
        high-temperature membrane | 1 | 122.00 | 122.00
        Set up, ladders, clean up | 12 | 48.00 | 576.00
        Underlayment and membrane | 3.724 | 48.00 | 178.75
        Lay standing seam | 29.618 | 48.00 | 1421.66
        Eave trim | 2.4 | 48.00 | 115.20
        Rake trim | 2.683 | 48.00 | 128.78
        Ridge caps | 2.8 | 48.00 | 134.40
        Chimneys, skylights, pipes | 6 | 48.00 | 288.00
        = 4264.05 | 2842.79 | 852.82 | 2653.22 | 255.84 | 10869.00
    """,
}


@pytest.mark.parametrize(("house", "system"), BY_HAND)
def test_every_line_and_the_price(house: str, system: str) -> None:
    roofing = next(s for s in built_in_systems() if s.id == system)
    job = set_prices(project(*HOUSES[house], system=roofing), sample_prices())
    found = price_of(results_of(job))
    assert found is not None
    *rows, sums = [line.strip() for line in BY_HAND[house, system].strip().splitlines()]
    expected = [row.split(" | ") for row in rows]
    lines = [
        [li.key or li.item, f"{li.quantity.normalize():f}", str(li.rate), str(li.amount)]
        for li in found.lines
    ]
    assert lines == expected
    for _, amount, rate, price in expected:  # the rows themselves add up
        assert cents(Decimal(amount) * Decimal(rate)) == Decimal(price)
    materials, work, overhead, margin, tax, asked = map(Decimal, sums.strip("= ").split(" | "))
    goods = [r for r in expected if r[2] != "48.00"]
    assert sum(Decimal(r[3]) for r in goods) == materials
    assert sum(Decimal(r[3]) for r in expected) - materials == work
    net = materials + work + overhead
    assert overhead == cents((materials + work) * Decimal("0.12"))
    assert net + margin == cents(net / Decimal("0.75"))
    assert tax == cents(materials * Decimal("0.06"))
    assert abs(net + margin + tax - asked) <= Decimal("0.50")
    steps = {s.name: s.amount for s in found.steps}
    names = ("Materials", "Work", "Overhead", "Margin", "Tax", "Price")
    assert [steps[n] for n in names] == [materials, work, overhead, margin, tax, asked]
