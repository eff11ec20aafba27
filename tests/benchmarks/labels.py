"""What printing costs, in time of the processor: labels a second in a PDF, what the one fixed mask saves, and what it
saves to learn once from the library where it draws each bit. Run: python -m tests.benchmarks.labels
"""

import io
import random
import time

from registry.domain.codes import code_url, draw_code
from registry.domain.prints import read_order
from registry.output.labels import draw_pdf
from registry.output.symbols import MASK, _code, _drawn, modules
from registry.queries.labels import LabelText

HOST, COUNT = "pairs.example.org", 600


def seconds(work) -> float:
    best = float("inf")
    for _ in range(3):
        began = time.process_time()
        work()
        best = min(best, time.process_time() - began)
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
    drawn = seconds(lambda: [_drawn(_code(address, "Q", 3, MASK)) for address in addresses])
    chosen = seconds(lambda: [modules(address, "Q", 3, None) for address in addresses[: COUNT // 6]]) * 6
    pdf = seconds(lambda: draw_pdf(io.BytesIO(), labels, HOST, read_order("25", "300", "a4")))
    print(f"labels in a PDF: {COUNT / pdf:,.0f} a second on this machine")
    print(f"a mask chosen for each symbol costs {chosen / fixed:.1f} times the fixed one")
    print(f"drawn bit by bit by the library, the fixed one costs {drawn / fixed:.1f} times as much")
    print(f"symbols are {fixed / pdf:.0%} of the time of a PDF; a label in it costs {pdf / drawn:.2f} of such a symbol")


if __name__ == "__main__":
    main()
