"""Single-line diagrams and answers for analog audio patch bays."""
