"""One model for all orders of loading of a position: what a fixture costs at least in any of them, and which one to ask first.

Two orders are alike in a part if the same of those it touches are in before it: a case (`solver.laying.order_choices`). A binary
says which order is meant, and a case holds if an order that has it is meant; what a part asks for in a case is asked if the case
holds. What else is asked of a fixture - no bodies in one place, the torch's way, motions that must not happen - is the same in
every order. Ways in, tipping and accuracy are left to the model of the one order.
"""
