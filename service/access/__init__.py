"""Who may do what: keys and roles, sign-ins, who is asking, how much each may ask for."""
