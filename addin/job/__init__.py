"""A job: one folder and one workbook, `job.xlsx`, from which lists are planned, released, printed and recorded."""
