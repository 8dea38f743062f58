"""Numbers out of JSON that nobody can have meant are refused in words."""

from __future__ import annotations

import pytest

from chartscan.entry import number, whole


@pytest.mark.parametrize("value", [10**400, -(10**400), 1e300, float("inf"), 10**17])
def test_a_number_too_large_to_be_meant_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="a number too large to be meant"):
        number(value, "'x' of class 3")
    if isinstance(value, int):
        with pytest.raises(ValueError, match="too large"):
            whole(value, "'count' of class 3")


@pytest.mark.parametrize("value", [float("nan"), True, "5", None])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="isn't a number"):
        number(value, "'x'")
