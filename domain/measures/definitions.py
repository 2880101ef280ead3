"""Factors between units, and other figures that are exact by definition."""

MM_PER_M = 1000
MM2_PER_CM2 = 100
MM2_PER_M2 = 1e6
MM3_PER_ML = 1000
MM3_PER_M3 = 1e9
ML_PER_LITRE = 1000
MG_PER_G = 1000
G_PER_KG = 1000
KG_M3_PER_G_ML = 1000
J_PER_KJ = 1000
KJ_PER_MJ = 1000
SECONDS_PER_MINUTE = 60
MINUTES_PER_HOUR = 60
PERCENT = 100
KELVIN = 273.15  # 0 °C
BOILING_C = 100.0  # of water at sea level
