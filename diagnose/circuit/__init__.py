"""DC physics of a 12 V pump circuit. It knows no fault by name, only what parameters do."""
