"""Tightening: torque, wrench setting, and the tension that it brings as a band."""
