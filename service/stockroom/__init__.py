"""The storekeeper's use cases: items, tables, counts, reservations, advice. Values in, values out; both doors call them.

What reads takes the store. What writes takes the connection of one write transaction, so that a door can keep its answer under an
idempotency key in that same transaction; `with_overdue_expired` goes around a write that may find pieces short.
"""
