"""What a slider is, which a part has, and the design that their values make. No widget is made here."""
