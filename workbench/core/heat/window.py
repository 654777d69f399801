"""The temperatures that matter for one blend, in the words of the guard chapter."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A computed temperature with how it came about; None when it cannot be known."""

    celsius: float | None
    sd_k: float = 0.0
    how: str = ""  # "liquidus 54.0 °C less 4 K undercooling", for display
    why: str = ""  # why it is None

    def or_none(self, ndigits: int = 1) -> float | None:
        return None if self.celsius is None else round(self.celsius, ndigits)


@dataclass(frozen=True, slots=True)
class Temperatures:
    """All limits of one blend in °C.

    `set_point`     where the cooling blend starts to gel
    `pour_floor`    set point + 3 K
    `melt_out`      liquidus + 5 K, the aim of melting
    `melt_ceiling`  for a jug without fragrance
    `neat_flash`    closed cup, of what will be poured in (neat blend or premix)
    `blend_flash`   closed cup, of the whole mixture
    `flash_safe`    neat flash less the margin
    `scented_ceiling` blend flash less 5 K
    `add_below`     the lower of flash_safe and scented_ceiling: top of the window
    """

    set_point: Reckoned
    liquidus: Reckoned
    pour_floor: Reckoned
    melt_out: Reckoned
    melt_ceiling: Reckoned
    neat_flash: Reckoned
    neat_flash_ideal: Reckoned
    neat_flash_unifac: Reckoned
    blend_flash: Reckoned
    blend_flash_ideal: Reckoned
    blend_flash_unifac: Reckoned
    flash_safe: Reckoned
    scented_ceiling: Reckoned
    add_below: Reckoned
    unscented: bool = False

    @property
    def open(self) -> bool | None:
        """True: there is a window; False: it is empty; None: cannot be known."""
        if self.unscented:
            return True
        if self.pour_floor.celsius is None or self.add_below.celsius is None:
            return None
        return self.pour_floor.celsius < self.add_below.celsius

    @property
    def width_k(self) -> float | None:
        if self.pour_floor.celsius is None or self.add_below.celsius is None:
            return None
        return self.add_below.celsius - self.pour_floor.celsius
