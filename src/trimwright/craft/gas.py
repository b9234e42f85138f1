"""Constants of an ideal gas, for air, vapour and how heat hurries a reaction."""

from __future__ import annotations

GAS_CONSTANT = 8.314462618
"""[J/(mol·K)]. Source: CODATA 2018, exact."""
KELVIN = 273.15
"""0 °C [K]."""
