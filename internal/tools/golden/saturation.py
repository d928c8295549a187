"""Prints the saturation line as the package iapws computes it.

The first column of each line is celsius or kPa, the second the given value, the
third the result: kPa for a temperature, celsius for a pressure.
"""
import sys

from iapws import iapws97

print("# python3-iapws %s, command: internal/tools/golden/iapws.sh -write" % sys.argv[1])
print("# given\tvalue\tresult in kPa or Cel")
for half in range(0, 281):
    celsius = half / 2
    kelvin = celsius + 273.15
    print("Cel\t%.1f\t%.9g" % (celsius, iapws97._PSat_T(kelvin) * 1000))
for kpa in [0.7, 1, 2, 5, 7, 10, 20, 50, 70, 100, 101.325] + list(range(110, 361, 5)):
    print("kPa\t%g\t%.9g" % (kpa, iapws97._TSat_P(kpa / 1000) - 273.15))
