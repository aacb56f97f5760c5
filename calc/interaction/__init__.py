"""Elastic interaction: what each stud keeps after its neighbours are tightened.

Tightening one stud compresses the gasket and bends the flange, so studs tightened earlier lose load. Two models give
the same answers to the rest of this folder: `matrix` (a measured or calculated table of interaction) and `elastic`
(flange ring, studs and gasket from their `dimensions`). `events` runs a plan of passes, `samples` adds the scatter of
friction and wrench, `settings` and `choice` look for settings and plans. Read `dimensions`, `gasket`, `studs`, `ring`
before `elastic`.

Every result is a planning estimate from a simplified elastic model with assumed friction and gasket data; it is not a
measurement of a joint. Limits: rigid cross-section of the flange, elastic studs and flanges, no yield, no
misalignment, no pressure and no temperature; a matched pair or a rigid mate; no metal contact outside the bolt circle.
"""
