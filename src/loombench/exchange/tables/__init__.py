"""Tables as files: CSV, TSV, XLSX and ODS into rows of text cells with their lines; nothing is understood here."""
