"""What printing costs: labels a second in a PDF, and how much the one fixed mask saves. Run: python -m tests.benchmarks.labels"""

import io
import random
import time

from registry.domain.codes import code_url, draw_code
from registry.domain.prints import read_order
from registry.output.labels import draw_pdf
from registry.output.symbols import MASK, modules
from registry.queries.labels import LabelText

HOST, COUNT = "pairs.example.org", 600


def seconds(work) -> float:
    best = float("inf")
    for _ in range(3):
        began = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - began)
    return best


def main() -> None:
    dice = random.Random(1)
    codes = [draw_code("K", dice.randrange) for _ in range(COUNT)]
    labels = [
        LabelText("half", code, "Sensor half", "Ardlune", "Quenholt Reed", "AR-3100-C", f"S-{n}")
        for n, code in enumerate(codes)
    ]
    addresses = [code_url(HOST, code) for code in codes]
    fixed = seconds(lambda: [modules(address, "Q", 3, MASK) for address in addresses])
    chosen = seconds(lambda: [modules(address, "Q", 3, None) for address in addresses[: COUNT // 6]]) * 6
    pdf = seconds(lambda: draw_pdf(io.BytesIO(), labels, HOST, read_order("25", "300", "a4")))
    print(f"labels in a PDF: {COUNT / pdf:,.0f} a second on this machine")
    print(f"a mask chosen for each symbol costs {chosen / fixed:.1f} times the fixed one")
    print(f"symbols are {fixed / pdf:.0%} of the time of a PDF")


if __name__ == "__main__":
    main()
