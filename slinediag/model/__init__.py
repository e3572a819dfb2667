"""The facility as documented: frozen values, and edits as functions from facility to facility."""
