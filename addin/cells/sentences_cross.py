"""The sentences of the cross-checks: a row against its remarks, its flange and like joints, the book against itself."""

CROSS = {
    # remarks
    "work_in_service": "{where} say '{text}': nothing is planned on a line under pressure here; the responsible engineer decides, and the remark goes when the line is free of pressure",
    "may_be_in_service": "{where} say '{text}': the row waits; if the line will be free of pressure, write in the remarks 'line will be free of pressure: NAME, 2026-03-14', otherwise no work here",
    "free_of_pressure_stated": "{where} say '{text}'; {by} states that the line will be free of pressure: prove it before work",
    "hot_torque": "{where} say '{text}': if that is retightening after heat or test, its operation is retighten; if the studs are hot when they are tightened, state their temperature",
    "hot_studs": "stud temperature {text} is above 50 °C (120 °F): yield and friction at that temperature are needed, each with its source; missing: {needs:names}",
    "hot_studs_stated": "stud temperature {text}: yield and friction stated for it ({sources:both}). Burns: gloves and shields; hoses, seals and oil of the wrench only within their temperature limits",
    "remark_product": "{where} name {text}, but the row is planned with {own}: which one applies?",
    "remark_torque": "{where} name a torque of {other:torque}, but the row is planned with {value:printed torque}: which one applies?",
    "remark_stress": "{where} name a stress of {other:stress}, but the row is planned with {value:about stress}: which one applies?",
    "remark_grade": "{where} name grade {text}, but the row is planned with {own}: which one applies?",
    "remark_thread": "{where} name a stud size of '{text}', but the row is planned with {own}: which one applies?",
    "remark_wrench": "{where} name wrench {names:both}, but the row is planned with {own:both}: which one applies?",
    "remark_wrenches": "{where} speak of {text}, but the row is planned for {own:figure} at a time: which one applies?",
    # like joints
    "unlike_target": "{name} {text} is unlike that of {count} of {size} joints of this list{same:alike}: {usual}",
    "unlike_text": "{what} {text} is unlike that of {count} of {size} joints of this list{same:alike}: {usual}",
    "target_alone": "{name} {text} stands in no other row of this list, whose other rows keep to {count:values}: check it",
    "unlike_stress": "{name} {text} with {studs:figure} studs {stud} means {share:percent} of the stud stress that {count} of {size} joints of this list{same:alike} have: check {name}, stud size and count",
    "targets_without_order": "{name} does not rise with the stud size in the {count} rows of this list: was it sorted, or did it slip, without one of the two columns?",
    "targets_of_row_above": "{name} fits the stud sizes of the row above, all the way down the {count} rows of this list: did the column slip by a row?",
    "targets_of_row_below": "{name} fits the stud sizes of the row below, all the way down the {count} rows of this list: did the column slip by a row?",
    "hand_above_size": "stud {stud} by hand, but {count} of {size} rows of this list do studs up to {limit:length} by hand and larger ones by hydraulic wrench: check stud size and method",
    "hydraulic_below_size": "stud {stud} by hydraulic wrench, but {count} of {size} rows of this list do studs up to {limit:length} by hand and larger ones by hydraulic wrench: check stud size and method",
    "methods_without_order": "studs of the {count} rows by hand are hardly smaller than those by hydraulic wrench (middle {hand:length} and {hydraulic:length}): was the list sorted without its stud sizes or its methods?",
    # the row against its flange and its equipment
    "studs_not_of_flange": "{studs} x {thread} are not the studs of the standard flange {flange}, {standard_studs} x {standard_thread}{most:as most}: check studs, size and class",
    "studs_not_of_flanges": "{studs} x {thread} are not the studs of a standard flange of this size and class, {ways:either}{most:as most}: check studs, size and class against the standard",
    "studs_of_no_flange": "no standard flange has {studs} studs {thread}, but {count} of {size} rows of this list have the studs of one: check stud size and count",
    "studs_of_other_class": "{studs} studs {thread} are those of class {own:either} flanges, but the other {count} joints of {item} can all be of class {usual:either}, as in nearly all items of this list: check stud size and count",
    "studs_not_by_four": "{studs} studs on a flange of {flange}: flanges of the standards have a number that four divides: count them",
    "studs_odd": "{studs} studs is an odd number; {count} of {size} rows of this list have an even one: count them",
    "unlike_length": "stud length {text} is unlike that of {count} of {size} joints of this list with the same flange: {usual}",
    "tag_not_of_equipment": "tag '{tag}' does not hold its equipment '{text}', as nearly all tags of this list do: which one applies?",
    "formula_maybe_old": "{name}: the value of this formula may be old: the workbook is calculated {why:calculated}; recalculate and save it, or plan with --recalculate",
    "formulas_maybe_old": "the values of formulas here may be old ({count} cells from this one on): the workbook is calculated {why:calculated}; recalculate and save it in a spreadsheet program",
    "formula_differs": "{name}: this formula holds {stored}, but {text} when it is recalculated: recalculate and save the workbook, then plan again",
    "formula_not_recalculated": "{name}: this formula holds {stored} and could not be recalculated here ({text}): its value may be old",
    # hand rows
    "hand_out_of_reach": "by hand, but torque {torque:printed torque} is above {reach:printed torque}, the most that the hand tools of the book give on that day: another method?",
    "hand_multiplier": "by hand through multiplier {text}, ratio {ratio:figure}, certificate valid until {last:day}: {torque:printed torque} at the nut is {set:printed torque} on the hand torque wrench, and each pass in proportion",
    "hand_beyond_usual": "by hand, but torque {torque:printed torque} is more than hand torque wrenches usually give, {reach:printed torque}: another method, or list the tool in the wrench book",
    # the book against itself
    "table_proportional": "every torque is exactly the same multiple of its pressure, which no wrench gives: measured on this wrench? If so, write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate",
    "link_name_size": "link '{text}' names another size than its across flats, {value:width}: which one applies?",
    "adapter_factor_one": "'{text}' has torque factor 1, but an adapter usually changes the torque: confirm the factor on its certificate",
    "adapter_factor_below": "'{text}' has torque factor {value:figure}, but an adapter that reaches further gives more torque, not less: is it the wrong way round?",
    "serial_same": "serial number {text} stands also in the sheet of {other}: one wrench has one name",
    "lubricant_own_end": "product '{text}': its nut factor {value:figure} is equal to its own {end}; is it the usual value?",
}
"""Code -> sentence."""
