"""Changes of the program that once stayed unseen and could have hurt somebody: what, file, the text, and what it becomes."""

DANGEROUS: list[tuple[str, str, str, str]] = [
    (
        "the shared mark of several wrenches above the weakest rating",
        "calc/wrench/choice.py",
        "    ceiling = min(c.ceiling for c in group)\n",
        "    ceiling = max(c.ceiling for c in group)\n",
    ),
    (
        "a shared mark above a link's limit",
        "calc/wrench/choice.py",
        "        good &= (np.abs(s.difference) <= tolerance) & ~above(s.torque, c.link.torque_limit)\n",
        "        good &= np.abs(s.difference) <= tolerance\n",
    ),
    (
        "a rounded-up mark above a link's limit",
        "calc/wrench/choice.py",
        "        alone & above(s.torque, c.link.torque_limit),\n",
        "        alone & (s.torque < 0),\n",
    ),
    (
        "a refused certificate printed with another's last day",
        "calc/wrench/choice.py",
        'c.wrench.valid_until if CODES[code] == "wrench_certificate" else c.gauge.valid_until',
        'c.wrench.valid_until if CODES[code] != "wrench_certificate" else c.gauge.valid_until',
    ),
    (
        "a refused certificate printed with another's first day",
        "calc/wrench/choice.py",
        'c.wrench.calibrated if CODES[code] == "wrench_certificate" else c.gauge.calibrated',
        'c.wrench.calibrated if CODES[code] != "wrench_certificate" else c.gauge.calibrated',
    ),
    (
        "a lubricant listed twice",
        "calc/plan/resolve.py",
        "        if len(matches) > 1:\n            found.add(",
        "        if len(matches) > 2:\n            found.add(",
    ),
    (
        "four wrenches at once",
        "calc/plan/resolve.py",
        "    known = np.isin(wanted, (1, 2, 4))\n",
        "    known = np.isin(wanted, (1, 2))\n",
    ),
    (
        "three wrenches at once",
        "calc/plan/resolve.py",
        "    known = np.isin(wanted, (1, 2, 4))\n",
        "    known = np.isin(wanted, (1, 2, 3, 4))\n",
    ),
    (
        "the preload of a torque row with coefficients",
        "calc/plan/resolve.py",
        'np.where(np.isnan(mu_t), by_factor, raised["torque"] / unit)',
        'np.where(np.isnan(mu_t), by_factor, raised["torque"] * unit)',
    ),
    (
        "the first inner point of a table",
        "calc/wrench/calibration.py",
        "    for i in range(1, p.size):\n",
        "    for i in range(2, p.size):\n",
    ),
    (
        "the first inner point of a table that lies off",
        "calc/wrench/slips.py",
        "        sure = i > 0 or abs(",
        "        sure = i > 1 or abs(",
    ),
    (
        "the table's first point in a setting",
        "calc/wrench/calibration.py",
        "rounding=rounding, low=float(curve.pressure[0]), high=high)",
        "rounding=rounding, low=float(curve.pressure[1]), high=high)",
    ),
    (
        "wrenches together from one pump",
        "calc/plan/pulling.py",
        "    several = [tuple(each) for each in pumps if len(each) > 1]\n",
        "    several = [tuple(each) for each in pumps if len(each) > 2]\n",
    ),
    (
        "a recorded pressure against the ratings, without a gauge",
        "calc/wrench/choice.py",
        "    scale = gauge.range if gauge else math.nan\n",
        "    scale = gauge.range if gauge else 0.0\n",
    ),
    (
        "a recorded pressure without a gauge above a rating",
        "calc/review/review_pass.py",
        "    allowed = allowed_pressure(wrench, gauge)\n    if above(pressure, allowed):\n",
        "    allowed = allowed_pressure(wrench, gauge)\n    if gauge is not None and above(pressure, allowed):\n",
    ),
    (
        "a hand torque wrench in use after the day on which it was taken out of service",
        "addin/wrenches/hand_tools.py",
        "    until = until if until < resting else",
        "    until = until if until > resting else",
    ),
    (
        "one mark for wrenches of which one has no such torque in its table",
        "calc/wrench/calibration.py",
        "    usable = ~np.isnan(exact).any(axis=0)",
        "    usable = ~np.isnan(exact).all(axis=0)",
    ),
    (
        "own pressures of several wrenches in a record, held against nothing",
        "addin/records/progress.py",
        "    return listed[at] if at < len(listed) else",
        "    return listed[at] if at > len(listed) else",
    ),
    (
        "a blank cell of a column of states that counts as done",
        "addin/records/record_files.py",
        'if name == "done" and word.strip():',
        'if name == "done" or word.strip():',
    ),
]
