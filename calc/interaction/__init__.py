"""Elastic interaction: what each stud keeps after its neighbours are tightened.

Tightening one stud compresses the gasket and bends the flange, so studs tightened earlier lose load. Two kinds of joint
give the same answers to the rest of this folder: `matrix.MatrixJoint` (a measured or calculated table of interaction)
and `elastic.ElasticJoint` (flange ring, studs and gasket from `dimensions.Dimensions`). With either of them:

- `elastic.interaction_table`: the table from dimensions;
- `events.pass_progress`: mean, lowest, variation and highest load after each pass of a plan;
- `samples.residual_preload`: what each stud keeps, with P5 and P95 of the assumed scatter;
- `settings.one_pass_settings`: settings stud by stud that leave all studs alike, capped;
- `plans.plan_of`: the passes of a scheme or of own percentages;
- `choice.search`, `choice.circular_passes`: the fewest moves, the number of circular passes.

`dimensions.complete` says what was assumed, `dimensions.DEFAULTS` with which range. Moves come in as tuples of stud
numbers from 1.

Every result is a planning estimate from a simplified elastic model with assumed friction and gasket data; it is not a
measurement of a joint. Limits: rigid cross-section of the flange, elastic studs and flanges, no yield, no
misalignment, no pressure and no temperature; a matched pair or a rigid mate; no metal contact outside the bolt circle.
"""
