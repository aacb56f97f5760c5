"""Pure calculation for controlled tightening of bolted joints.

Numbers are SI floats or numpy arrays (N, m, Pa, N·m, K; fractions, not per cent); the same comes out. Nothing here
reads a workbook, writes a file or words a message: faults leave as facts (`findings`). Read in this order:
`quantities`, `joints`, `plan`, then the room you need: `hardware` (what the joint is made of), `preload` (how much),
`wrench` (with what), `procedure` (in which steps).
"""
