"""The sentences of the cross-checks: a row against its remarks, its flange and like joints, the book against itself."""

CROSS = {
    # remarks
    "work_in_service": "the remarks say '{text}': nothing is planned on a line under pressure here; the responsible engineer decides, and the remark goes when the line is free of pressure",
    "may_be_in_service": "the remarks say '{text}': work only on a line that is proven free of pressure; otherwise stop",
    "remark_product": "the remarks name {text}, but the row is planned with {own}: which one holds?",
    "remark_torque": "the remarks name a torque of {other:torque}, but the row is planned with {value:printed torque}: which one holds?",
    "remark_stress": "the remarks name a stress of {other:stress}, but the row is planned with {value:about stress}: which one holds?",
    "remark_grade": "the remarks name grade {text}, but the row is planned with {own}: which one holds?",
    "remark_thread": "the remarks name a stud size of '{text}', but the row is planned with {own}: which one holds?",
    "remark_wrench": "the remarks name wrench {names:both}, but the row is planned with {own:both}: which one holds?",
    # like joints
    "unlike_target": "{name} {text} is unlike that of {count} of {size} joints of this list{same:alike}: {usual}",
    "unlike_text": "{what} {text} is unlike that of {count} of {size} joints of this list{same:alike}: {usual}",
    # the row against its flange and its equipment
    "studs_not_of_flange": "{studs} x {thread} are not the studs of the standard flange {flange}, {standard_studs} x {standard_thread}, as most rows of this list have: check studs, size and class",
    "unlike_length": "stud length {text} is unlike that of {count} of {size} joints of this list with the same flange: {usual}",
    "tag_not_of_equipment": "tag '{tag}' does not hold its equipment '{text}', as nearly all tags of this list do: which one holds?",
    # hand rows
    "hand_out_of_reach": "by hand, but torque {torque:printed torque} is above {reach:printed torque}, the most that the hand torque wrenches of the book give: another method?",
    "hand_beyond_usual": "by hand, but torque {torque:printed torque} is more than hand torque wrenches usually give, {reach:printed torque}: another method, or list the tool in the wrench book",
    # the book against itself
    "table_proportional": "every torque is exactly the same multiple of its pressure, which no wrench gives: measured on this wrench? If so, write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate",
    "link_name_size": "link '{text}' names another size than its across flats, {value:length}: which one holds?",
    "adapter_factor_one": "'{text}' has torque factor 1, but an adapter usually changes the torque: confirm the factor on its certificate",
    "adapter_factor_below": "'{text}' has torque factor {value:figure}, but an adapter that reaches further gives more torque, not less: is it the wrong way round?",
    "serial_same": "serial number {text} stands also in the sheet of {other}: one wrench has one name",
    "lubricant_own_end": "product '{text}': its nut factor {value:figure} is equal to its own {end}; is it the usual value?",
}
"""Code -> sentence."""
