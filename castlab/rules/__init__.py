"""Hand calculations: a page of the textbook each, plain functions, SI, no state.

modulus      volume over cooling surface of simple bodies, and the order in which they freeze
junction     the circle that fits where walls meet
scatter      how certain a freezing time is, from the ranges of the properties behind it
thick_wall   what thick sand or plaster draws, through the contact at its face
freezing     how long a body freezes in sand and how thick its skin is; from a trial casting
exact        the front in a pure metal against a mould, exactly: a yardstick for the computed field
die          freezing in a die
contraction  what metal loses in volume, and how much larger a pattern must be
feeding      feeder, neck, feeding distance
filling      superheat, how far metal runs, and the thinnest wall that it fills
gating       sprue, fill time, the force that lifts the cope and the weight against it
gas          dissolved hydrogen, gas or shrinkage, arm spacing, Niyama's value
charge       what to weigh in, additions, whether the crucible takes it and in which order
melting      heat content, what circuit and elements allow
furnace      displayed and true temperature of the melt against time
lining       what a furnace's lining costs; two melts that were timed
pouring      how much metal cools between furnace and mould
sensor       checking a sensor at freezing points, what a new one may be off
weighing     what scales and a stop-watch tell about a casting
cooling_curve  liquidus and last freezing from a logged curve
cooling_log  the same curve out of CSV text

They know nothing of the computed casting in `castlab.field`, so that each can check the other.
"""
