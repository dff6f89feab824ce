"""Hand calculations: a page of the textbook each, plain functions, SI, no state.

modulus      volume over cooling surface of simple bodies
freezing     how long a body freezes in sand, from first principles and from a trial casting
contraction  what metal loses in volume, and how much larger a pattern must be
filling      superheat, and how far metal runs in a channel

They know nothing of the computed casting in `castlab.field`, so that each can check the other.
"""
