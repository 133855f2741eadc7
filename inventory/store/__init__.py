"""Counted stock in a database: nothing promised twice, every change signed.

The only folder of this package that imports SQLAlchemy.
"""

from inventory.store.engine import shown_url
from inventory.store.notes import Note
from inventory.store.reservations import Order
from inventory.store.shop import Store, open_store
from inventory.store.snapshots import Readers
from inventory.store.transactions import Connection

__all__ = ["Connection", "Note", "Order", "Readers", "Store", "open_store", "shown_url"]
