"""Sentences about as-tightened records: what a joint is to be reviewed for, and what a record cannot be read for."""

_TABLE_GIVES = "{wrench} at {pressure:pressure} gives {torque:about torque}"

RECORD = {
    # a joint as a whole
    "begun_with_wrench": "{text} with {wrench}, which is not to be used: the engineer decides how it goes on",
    "found_different": "{what} found {text}, planned {planned}: the card does not hold for it",
    "card_not_stated": "the card's revision is not stated",
    "card_superseded": "done on card {cards:both}, which was superseded on {until} by {card}: the day of the work is not"
    " before that",
    "card_not_known": "done on card {cards:both}; this plan's card is {card}, and of the other neither it nor a kept issue"
    " has the values: it cannot be judged (superseded, or copied wrong)",
    "card_not_released": "done on card {cards:both}, which nobody has released: no figure to set stands on such a card",
    "card_released_later": "done on card {card} before the day of its release, {day}: on a card that is not released"
    " stands no figure to set",
    "torque_moved": "the final torque is now {torque:about torque}, {share:signed} off the {planned:about torque} it was"
    " done to; the tolerance is {tolerance:percent}",
    "made_up_otherwise": "{what} is now {planned}; it was {text} on the card it was done on",
    "yield_moved": "the yield of the studs is now {limit:stress}; it was {reached:stress} on the card it was done on",
    "day_ahead": "the day of the work, {day}, lies ahead of today",
    "point_not_recorded": "{point} point of the plan: nobody is recorded at it",
    "studs_left": "studs without a tick: {text}",
    "found_other": "found otherwise than on the card: {text}",
    "other_pump": "pump '{text}' instead of {planned:both}: its rating was not looked at",
    "tool_number_unknown": "number '{text}' is that of no tool of the wrench book",
    "break_by_not_stated": "broken out; by whom is not stated",
    "break_day_not_stated": "broken out; the day is not stated, so certificates cannot be checked",
    "break_above": "broken out at {pressure:pressure}, above the {limit:pressure} its card never lets be exceeded",
    "card_newer": "done on card {cards:both}, which is that of the list and wrench book as they are now: plan"
    " again and record against the new plan",
    "joint_dropped": "the list as it is now no longer has this joint with this operation",
    "joint_stops_now": "list or wrench book has changed since this plan: the row now stops",
    "joint_recorded_twice": "recorded as a whole more than once: {places:both}",
    "record_unread": "not all of its record could be read: {places:both}",
    "nothing_planned": "recorded, but the plan stopped this row: there is nothing to compare with",
    "lubricant_not_stated": "lubricant not stated; the plan has {planned}",
    "lubricant_not_in_book": "lubricant '{product}' is not in the lubricant table: preload not known",
    "other_lubricant": "lubricant {product} instead of {planned}: preload about {preload:about force}, not"
    " {meant:about force} ({share:signed})",
    "lubricant_not_planned": "lubricant {product}; the plan names no product: with it preload is about"
    " {preload:about force}",
    "above_stud_ceiling": "stress with torsion {reached:about stress} went above the stud ceiling, {limit:stress}",
    # its passes
    "pass_missing": "{passes:passes} not recorded, though pass {last} is",
    "pass_recorded_twice": "{passes:passes} recorded more than once",
    "pass_order": "{passes:passes} recorded as earlier than pass {before}",
    "wait_short": "{passes:passes} came {waited:hours} after the previous pass; the plan waits {wait:hours}",
    "day_not_stated": "{passes:passes}: day not stated, so certificates cannot be checked",
    "by_not_stated": "{passes:passes}: who did it is not stated",
    # settings
    "torque_off": f"{{passes:passes}}: {_TABLE_GIVES}, {{share:signed}} off the planned {{planned:about torque}};"
    " the tolerance is {tolerance:percent}",
    "hand_torque_off": "{passes:passes}: {torque:about torque} is {share:signed} off the planned"
    " {planned:about torque}; the tolerance is {tolerance:percent}",
    "other_wrench": f"{{passes:passes}}: {{wrench}} instead of {{planned:both}}: {_TABLE_GIVES}, {{share:signed}}",
    "other_wrench_no_torque": "{passes:passes}: {wrench} instead of {planned:both}; its torque is not known",
    "other_means": "{passes:passes}: by other means instead of {planned:both}",
    "wrench_left_out": "{passes:passes}: done without {wrenches:both}",
    "pressure_not_stated": "{passes:passes}: pressure set on {wrench} not stated",
    "pressure_not_in_table": "{passes:passes}: {pressure:pressure} on {wrench} is not possible by its table,"
    " {low:pressure} to {high:pressure}",
    "pressure_above_rating": "{passes:passes}: {pressure:pressure} on {wrench} is above its lowest rating,"
    " {limit:pressure}",
    "pressure_by_hand": "{passes:passes}: a pressure, {pressure:pressure}, on a joint planned by hand",
    "torque_not_stated": "{passes:passes}: torque not stated",
    "hand_tool_not_stated": "{passes:passes}: hand torque wrench not stated, so its certificate cannot be checked",
    "hand_tool_not_in_book": "{passes:passes}: hand torque wrench '{wrench}' is not in the wrench book",
    "hand_tool_range": "{passes:passes}: {torque:about torque} is outside the range of {wrench}, {low:torque} to"
    " {high:torque}",
    "torque_above_link": "{passes:passes}: {torque:about torque} is above the limit of {link}, {limit:torque}",
    # tools
    "wrench_not_stated": "{passes:passes}: wrench not stated",
    "pressure_without_wrench": "{passes:passes}: {pressure:pressure} recorded, wrench not stated",
    "wrench_not_in_book": "{passes:passes}: wrench '{wrench}' is not in the wrench book: torque not known",
    "wrench_unusable": "{passes:passes}: the sheet of {wrench} cannot be used: {faults:semicolons}",
    "wrench_drift": "the new certificate of {tool} differs from that of the plan by {share:signed}; looked at again from"
    " {limit:percent}",
    "tool_not_trusted": "{passes:passes}: {tool} is marked in the wrench book as not to be trusted ({resting:days})",
    "wrenches_apart": "{passes:passes}: its wrenches pull together, but their rows name different days",
    "link_not_stated": "{passes:passes}: link or socket of {wrench} not stated; {count} of them fit",
    "link_not_in_book": "{passes:passes}: {wrench} has no link or socket '{link}' (it has {known:both})",
    "link_size": "{passes:passes}: {link} of {wrench} is for {size:width}, the nut has {flats:width}",
    "gauge_not_stated": "{passes:passes}: gauge of {wrench} not stated",
    "pressure_missing": "{passes:passes}: pressure not stated",
    "gauge_missing": "{passes:passes}: gauge not stated",
    "pressure_without_gauge": "{passes:passes}: {pressure:pressure} recorded, gauge of {wrench} not stated",
    "gauge_not_in_book": "{passes:passes}: gauge '{gauge}' is not in the wrench book",
    "certificate_not_valid": "{passes:passes}: certificate of {tool} not valid on {date:day}"
    " (valid {calibrated:from}until {valid_until:day})",
    # rows that cannot be read
    "record_counts_differ": "{count} {name} where there is one for each wrench, or one for all; the wrenches are"
    " {known:both}",
    "record_key": "'{text}' is not the key of a card: tag|operation|card, the operation in English",
    "record_key_other": "the row is {text}, but the key in it is that of {other}",
    "record_other_plan": "this sheet was printed for plan {text}, not for {known} or a plan before it: none of its rows"
    " is read",
    "record_two_lists": "{joint} stands in several lists of the job, {known:both}: record it on the sheet of its list,"
    " or with the number of a card that only one of them has",
    "record_says_nothing": "the row says neither 'as planned' nor which passes were done: a blank is not 'as planned'",
    "record_no_pass": "the row says that something differs but not in which passes",
    "record_word_unknown": "'{text}' is not known here; write {known:either}",
    "record_passes": "'{text}' must be passes of the plan like 3, 1-2 or 3 to 5",
    "record_passes_date": "passes '{text}': the spreadsheet made a date of it; format the column as text"
    " or write 1 to 2",
    "record_pass_unknown": "pass {number} is not in the plan of this joint; it has {known:both}",
    "record_time": "time '{text}' must be a time cell or text like 14:30",
    "record_times_differ": "date and time cells name two different times",
    "record_joint_unknown": "joint '{joint}' with operation '{operation}' is not in the plan{known:has}",
    "record_moved": "this row is {text} in the list's own columns, but {other} in ours: they are no longer in the same row order",
    "record_column_unknown": "column '{heading}' is filled but not known here; known are {known:both}",
    "record_columns_missing": "as-tightened columns without {text}: this sheet is not read",
    "record_column_advised": "there is no column {text}; every joint here will be reviewed for it",
}
