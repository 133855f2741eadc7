"""Everything about who may do what, wired once."""

from __future__ import annotations

from dataclasses import dataclass

from service.access.authentication import Authentication
from service.access.last_use import LastUse
from service.access.rates import RequestRate
from service.background import Rounds
from service.records.database import Database
from service.records.keys import KeyRecords
from service.records.noted_writes import WriteRecords
from service.records.sign_ins import SignInRecords
from service.settings import Settings

_USES_EVERY_S = 15.0


@dataclass(frozen=True, slots=True)
class Access:
    """Keys, sign-ins and the journal of writes in a database, who is asking, and how much each may ask for.

    Parameters
    ----------
    by_key, by_address, failed_sign_ins : RequestRate
        Requests of a key; those without one, and failed sign-ins, of an address.
    """

    keys: KeyRecords
    sign_ins: SignInRecords
    writes: WriteRecords
    authentication: Authentication
    by_key: RequestRate
    by_address: RequestRate
    failed_sign_ins: RequestRate
    _uses: Rounds

    @classmethod
    def over(cls, database: Database, settings: Settings) -> Access:
        """Return access over a database that has the service's tables."""
        keys, sign_ins = KeyRecords(database), SignInRecords(database)
        last_use = LastUse(keys)
        return cls(
            keys,
            sign_ins,
            WriteRecords(database),
            Authentication(keys, sign_ins, last_use),
            RequestRate(settings.rate),
            RequestRate(settings.rate_open),
            RequestRate(settings.sign_in_failures),
            Rounds("uses of keys", _USES_EVERY_S, last_use.write_down),
        )

    def start(self) -> None:
        """Learn whether keys are needed, and begin to write down when they are used."""
        self.authentication.look_up_required()
        self._uses.start()

    def stop(self) -> None:
        """End what was started; uses of the last seconds are not written down."""
        self._uses.stop()
