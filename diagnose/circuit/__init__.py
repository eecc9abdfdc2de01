"""DC physics of a 12 V pump circuit. It knows no fault by name: only parameters and what they do."""
