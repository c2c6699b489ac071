"""Times as they are shown, and as they are written for programs."""

import pytest

from camtools.page.blocks import Span


@pytest.mark.parametrize(
    ("seconds", "shown", "exact"),
    [
        (0.0, "0 s", "PT0.0S"),
        (19.4, "19 s", "PT19.4S"),
        (59.6, "1 min 00 s", "PT59.6S"),
        (138.0, "2 min 18 s", "PT138.0S"),
        (3599.6, "1 h 00 min", "PT3599.6S"),
        (9930.25, "2 h 46 min", "PT9930.2S"),
    ],
)
def test_a_time_is_shown_short_and_kept_exact(seconds: float, shown: str, exact: str) -> None:
    assert (str(Span(seconds)), Span(seconds).iso) == (shown, exact)
