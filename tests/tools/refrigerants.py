#!/usr/bin/env python3
"""Makes src/trade/refrigerants/tables.rs and tests/cases/trade/refrigerant_between.csv.

Needs CoolProp 8.0.0 (MIT) and nothing else: pip install CoolProp==8.0.0
Run from the project's root: python3 tests/tools/refrigerants.py

Tables: bubble and dew pressure, kPa absolute, at every whole degree C from -51 to 61 (R744 to 30), one row beyond each
end of the range so that four rows stand round every temperature. Between rows the program lays a cubic through those
four. The script does the same, compares with CoolProp every 0.1 degree, prints the worst of each refrigerant, and
stops if one is worse than the bound that tables.rs states.

R134a, n-Propane and CO2 are CoolProp's own fluids; the blends are HEOS::R404A.mix, HEOS::R448A.mix and HEOS::R449A.mix
(bubble is Q = 0, dew is Q = 1). A mixture flash now and then stops a digit short of its own tolerance: then it is
taken a few millionths of a degree to both sides and averaged.
"""
import CoolProp
from CoolProp.CoolProp import PropsSI

FLUIDS = [
    ("R134a", "R134a", 60, False),
    ("R290", "n-Propane", 60, False),
    ("R404A", "HEOS::R404A.mix", 60, True),
    ("R448A", "HEOS::R448A.mix", 60, True),
    ("R449A", "HEOS::R449A.mix", 60, True),
    ("R744", "CO2", 30, False),
]
LOW = -50
BOUND = 2e-6  # of the pressure


def pressure(fluid, celsius, quality):
    try:
        return PropsSI("P", "T", celsius + 273.15, "Q", quality, fluid) / 1000
    except ValueError:
        for off in (2e-6, 2e-5, 2e-4, 2e-3):
            try:
                pair = [PropsSI("P", "T", celsius + 273.15 + s, "Q", quality, fluid) for s in (-off, off)]
                return sum(pair) / 2000
            except ValueError:
                continue
        raise


def digits(value):
    return f"{value:.9g}"


def between(rows, first, celsius):
    at = min(max(int(celsius - first), 1), len(rows) - 3)
    s = celsius - first - at
    a, b, c, d = rows[at - 1 : at + 3]
    return (
        -s * (s - 1) * (s - 2) / 6 * a
        + (s + 1) * (s - 1) * (s - 2) / 2 * b
        - (s + 1) * s * (s - 2) / 2 * c
        + (s + 1) * s * (s - 1) / 6 * d
    )


def main():
    out = [
        "//! Bubble and dew pressures, kPa absolute, at every whole °C.",
        "//!",
        f"//! Made by `tests/tools/refrigerants.py` with CoolProp {CoolProp.__version__} (MIT); do not edit.",
        "//! R134a, n-Propane (R290), CO2 (R744), R404A.mix, R448A.mix, R449A.mix. Rounded to nine digits.",
        "",
        "use super::{Curves, Saturation};",
        "",
    ]
    check = [
        f"# Source: CoolProp {CoolProp.__version__}, off the rows of the table. kPa absolute. Made by tests/tools/refrigerants.py",
        "refrigerant,celsius,bubble_kpa,dew_kpa",
    ]
    for name, fluid, high, blend in FLUIDS:
        # CO2 is critical at 30.98 degrees: its table ends at 30 and the last cubic leans on the rows below.
        top = high + 1 if high < 61 and name != "R744" else high
        rows = {}
        for quality in (0, 1) if blend else (1,):
            rows[quality] = [float(digits(pressure(fluid, t, quality))) for t in range(LOW - 1, top + 1)]
        worst = 0.0
        for tenth in range(LOW * 10, high * 10 + 1):
            for quality, column in rows.items():
                true = pressure(fluid, tenth / 10, quality)
                worst = max(worst, abs(between(column, LOW - 1, tenth / 10) / true - 1))
        print(f"{name}: worst {worst:.1e} of the pressure")
        assert worst < BOUND, name
        constant = name.upper()
        curve = {}
        for quality, column in rows.items():
            curve[quality] = "&[" + ", ".join(f"{v!r}" for v in column) + "]"
        sat = (
            f"Saturation::Blend {{ bubble: {curve[0]}, dew: {curve[1]} }}" if blend else f"Saturation::Single({curve[1]})"
        )
        out.append(f"pub(super) static {constant}: Curves = Curves {{ high: {high}.0, saturation: {sat} }};")
        out.append("")
        for step in range(0, (high - LOW) * 10, 37):
            t = LOW + step / 10 + 0.05
            pair = [pressure(fluid, t, quality if blend else 1) for quality in (0, 1)]
            check.append(f"{name},{t:.2f},{pair[0]:.6g},{pair[1]:.6g}")
    open("src/trade/refrigerants/tables.rs", "w").write("\n".join(out).rstrip() + "\n")
    open("tests/cases/trade/refrigerant_between.csv", "w").write("\n".join(check) + "\n")


main()
