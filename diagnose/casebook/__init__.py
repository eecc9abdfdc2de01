"""The shop's memory: finished repairs as plain files, and what is learned from them.

    record  case_fields  case_file  rig_text    a case, its file, and back
    closing                                      from a walk to a case; closing and reopening it
    disk  locks  store                           the folder: whole files, one writer at a time
    lines  journal_form  journal                 the journal under a walk
    brief  index  similar  review  export        lists, searches, counts
    learning                                     priors from confirmed cases

Nothing here draws, prints, or looks anything up outside the folder it is given.
"""
