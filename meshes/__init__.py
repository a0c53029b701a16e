"""Demo scans: invented limbs of the harbour watch, and the script that makes them."""
