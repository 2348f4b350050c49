"""Catalogues and sheets in other people's files: CSV, XLSX and PDF in, YAML sheets and CSV results out.

`csvfile` and `xlsxfile` stream rows, `columns` says which column speaks of what, `run` audits the rows and puts the
units in order, `report` prints them, `pdftext` takes the text out of a PDF, `writer` writes what was read or found.
XLSX and PDF need the extras `xlsx` and `pdf`. Every fault of an input is an InputError with one line a fault.
"""
