from decimal import Decimal

import pytest

from workshop.estimating.packs import PackCount, PackSize
from workshop.pricing.pack_words import amount_words, packs_words

D = Decimal
CARTRIDGE = PackSize(D("290.000"), D("16.00"), "cartridge", "cartridges")
TIN = PackSize(D("2500.000"), D("95.00"), "tin", "tins")


@pytest.mark.parametrize(
    ("packs", "locale", "told"),
    [
        ((PackCount(2, CARTRIDGE),), "en-GB", "2 cartridges of 290 ml"),
        ((PackCount(1, TIN), PackCount(1, CARTRIDGE)), "en-GB", "1 tin of 2.5 L, 1 cartridge of 290 ml"),
        ((PackCount(1, TIN),), "nb", "1 tin of 2,5 L"),
        ((), "en-GB", ""),
    ],
)
def test_packs_are_told_in_words(packs: tuple[PackCount, ...], locale: str, told: str) -> None:
    assert packs_words(packs, "ml", locale) == told


def test_pieces_are_counted_without_a_word() -> None:
    assert packs_words((PackCount(2, PackSize(D(50), D(44), "box", "boxes")),), "pcs", "en-GB") == "2 boxes of 50"


def test_an_area_and_a_weight_are_written_as_usual() -> None:
    assert amount_words(D("1.50"), "m2", "en-GB") == "1.5 m²"
    assert amount_words(D("1200"), "g", "en-GB") == "1.2 kg"
    assert amount_words(D("100"), "pcs", "en-GB") == "100 pcs"
