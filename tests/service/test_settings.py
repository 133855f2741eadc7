"""Settings: every setting documented and ranged, all faults at once."""

from __future__ import annotations

from dataclasses import asdict

import pytest

from inventory.errors import InvalidDocument
from service.settings import SETTINGS, Settings


def test_every_setting_says_its_default_and_what_it_is_for() -> None:
    assert {setting.name: setting.default for setting in SETTINGS} == asdict(Settings())
    assert all(setting.meaning for setting in SETTINGS)


def test_the_default_is_reachable_from_this_machine_only() -> None:
    assert Settings.read({}).host == "127.0.0.1"


@pytest.mark.parametrize(
    "setting", [setting for setting in SETTINGS if setting.low is not None], ids=lambda setting: setting.name
)
def test_a_number_is_taken_up_to_its_limits_and_no_further(setting) -> None:  # type: ignore[no-untyped-def]
    for legal in (setting.low, setting.high):
        assert getattr(Settings.read({setting.variable: f"{legal}"}), setting.name) == legal
    for illegal in (f"{setting.low - 1}", f"{setting.high + 1}", "nan", "many", "1e999", ""):
        with pytest.raises(InvalidDocument) as refused:
            Settings.read({setting.variable: illegal})
        assert refused.value.faults[0].pointer == f"/{setting.variable}"


def test_every_fault_is_told_at_once_and_unknown_settings_are_named() -> None:
    with pytest.raises(InvalidDocument) as refused:
        Settings.read({"HOLDWRIGHT_PORT": "99999", "HOLDWRIGHT_WORKRES": "2", "HOLDWRIGHT_GRACE": "-1", "OTHER": "x"})
    told = {fault.pointer: fault for fault in refused.value.faults}
    assert set(told) == {"/HOLDWRIGHT_PORT", "/HOLDWRIGHT_WORKRES", "/HOLDWRIGHT_GRACE"}
    assert "HOLDWRIGHT_WORKERS" in told["/HOLDWRIGHT_WORKRES"].accepted
    assert told["/HOLDWRIGHT_PORT"].accepted == "a whole number, 0 to 65,535"


def test_what_the_command_line_gives_goes_before_the_environment() -> None:
    assert Settings.read({"HOLDWRIGHT_PORT": "8000"}, port=9000, host=None).port == 9000
    assert Settings.read({"HOLDWRIGHT_PORT": "8000"}, port=None).port == 8000
