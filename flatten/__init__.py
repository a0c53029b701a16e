"""From a limb scan to flat leather pieces: one package, one room for each step of the job."""
