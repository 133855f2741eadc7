"""The store's screens: what lies where, what is promised to whom, stock lists, what to buy."""
