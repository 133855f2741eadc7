"""What a changed rule does to plans that are made: price, ranking and limits anew, without solving.

A plan's score has all it takes: what its price depends on that is no rule, and what was measured of it that a rule limits. What a
score cannot tell is said, never guessed: the checker, which needs the whole plan, or a new solve tells it.
"""
