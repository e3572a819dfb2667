"""Tables: spreadsheets that people keep turned into a facility, and a facility into a workbook."""
