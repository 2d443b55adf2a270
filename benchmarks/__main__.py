"""Run the measurements of docs/benchmarks.md."""

import argparse
import os

# One core throughout: the libraries under numpy would otherwise start threads of their own.
for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(variable, "1")

PARTS = ("precision", "library", "growth", "starts", "convergence", "weather", "periodic", "storms")


def measured(part, with_scipy):
    """Run one part; return its tables by name, and draw its picture."""
    if part == "precision":
        from benchmarks.plot import draw
        from benchmarks.precision import measure

        results, tables = measure(with_scipy=with_scipy)
        if with_scipy:
            draw(results)
        return tables
    if part == "weather":
        from benchmarks.weather import weather

        return {part: weather()}
    if part == "library":
        from benchmarks.library import library

        return {part: library()}
    if part == "storms":
        from benchmarks.storms import storms

        return {part: storms()}
    if part == "periodic":
        from benchmarks.periodic import periodic

        return {part: periodic()}
    from benchmarks import scaling

    return {part: getattr(scaling, part)()}


def main():
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("part", choices=(*PARTS, "all"), help="what to measure")
    parser.add_argument("--without-scipy", action="store_true", help="leave out LSODA and BDF, the slowest")
    parser.add_argument("--write", action="store_true", help="put the tables into docs/benchmarks.md")
    asked = parser.parse_args()
    for part in PARTS if asked.part == "all" else (asked.part,):
        for name, text in measured(part, not asked.without_scipy).items():
            print(f"\n{name}\n\n{text}", flush=True)
            if asked.write:
                from benchmarks.document import fill

                fill(name, text)


if __name__ == "__main__":
    main()
