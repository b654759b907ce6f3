"""Money: exact decimals against Python's own decimal module, which rounds ROUND_HALF_UP away from zero;
currencies against what Node knows of them."""
import os
import random
import shutil
import subprocess
from decimal import ROUND_HALF_UP, Context, Decimal

from bench import check, equal, run

EXACT = Context(prec=60)


def counted(lines):
    tool = os.path.join(os.environ["PW_BUILD"], "tests", "command", "count")
    done = subprocess.run([tool], input="".join(line + "\n" for line in lines), capture_output=True,
                          text=True, check=True)
    return done.stdout.split("\n")[:-1]


def plain(value, decimals):
    rounded = value.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP, context=EXACT)
    return format(abs(rounded) if rounded == 0 else rounded, "f")


def expected(line):
    what, *words = line.split(" ")
    if what == "round":
        return plain(Decimal(words[0]), int(words[1]))
    a, b = Decimal(words[0]), Decimal(words[1])
    if what == "add":
        places = max(-a.as_tuple().exponent, -b.as_tuple().exponent)
        return plain(EXACT.add(a, b), places)
    product = EXACT.multiply(a, b)
    if what == "percent":
        product = EXACT.divide(product, Decimal(100))
    return plain(product, int(words[2]))


TABLE = {
    "multiply 3.5 68.00 2": "238.00",
    "multiply 0.5 0.01 2": "0.01",           # 0.005 goes away from zero
    "multiply -0.5 0.01 2": "-0.01",
    "multiply 0.4999 0.01 2": "0.00",
    "multiply -0.4999 0.01 2": "0.00",       # never -0.00
    "multiply 1.25 67.125 2": "83.91",       # 83.90625
    "multiply 2.5 0.333 3": "0.833",         # three decimals, as the dinars have: 0.8325
    "multiply 7.5 1333.0000 0": "9998",      # no decimals, as the yen: 9997.5
    "multiply 999999999999.9999 1 2": "1000000000000.00",
    "multiply 17.25 999999999.9999 2": "17250000000.00",
    "multiply 999999999999.9999 999999999999.9999 2": "-",
    "percent 2176.00 21 2": "456.96",
    "percent 0.50 1 2": "0.01",
    "percent -0.50 1 2": "-0.01",
    "percent 100.00 7.7 2": "7.70",
    "percent 105 8.1 0": "9",                # 8.505
    "add 0.1 0.2": "0.3",
    "add 24.50 -24.5": "0.00",
    "add 999999999999999999 1": "1000000000000000000",
    "add 9999999999.99999999 900000000000000000": "-",
    "round 2.5 0": "3",
    "round -2.5 0": "-3",
    "round 2.4999 0": "2",
    "round 2.5 4": "2.5000",
    "round 1 9": "-",
}


def test_a_table_of_cases():
    equal(dict(zip(TABLE, counted(TABLE))), TABLE)
    for line, answer in TABLE.items():
        if answer != "-":
            equal(answer, expected(line))


def random_money(chance, digits=7):
    places = chance.randint(0, 4)
    number = chance.randint(0, 10 ** chance.randint(1, digits))
    return ("-" if chance.random() < 0.2 and number else "") + plain(Decimal(number).scaleb(-places), places)


def test_twenty_thousand_cases_as_the_decimal_module_counts_them():
    chance = random.Random(1904)
    lines = [f"{chance.choice(['multiply', 'percent'])} {random_money(chance)} {random_money(chance)} "
             f"{chance.choice([0, 2, 3, 4])}" for _ in range(12000)]
    lines += [f"add {random_money(chance, 14)} {random_money(chance, 14)}" for _ in range(4000)]
    lines += [f"round {random_money(chance, 14)} {chance.randint(0, 4)}" for _ in range(4000)]
    for line, answer in zip(lines, counted(lines), strict=True):
        if answer != expected(line):
            check(False, f"{line}: {answer}, not {expected(line)}")


def test_text_that_is_no_decimal_is_refused():
    wrong = ["", "-", ".5", "5.", "1e3", "+1", "1,5", "1.2.3", "0x10", "1.123456789", "1234567890123456789"]
    equal(counted([f"round {text} 2" for text in wrong]), ["-"] * len(wrong))


# Printed without their small coins by custom, says CLDR, whose figures Node has; ISO 4217 list one gives
# them 2 decimals, the dinar of Iraq 3 (from memory of that list; glibc's locale ar_IQ says 3 too).
BY_CUSTOM = set("AFN ALL COP HUF IDR IQD IRR KPW LAK LBP MGA MMK PKR SLL SOS SYP YER".split())
DIGITS = """for (const c of Intl.supportedValuesOf('currency'))
  console.log(c, new Intl.NumberFormat('en', {style: 'currency', currency: c}).resolvedOptions().maximumFractionDigits)"""


def test_currencies_have_the_decimals_that_others_give_them():
    equal(counted([f"currency {code}" for code in ("EUR", "JPY", "BHD", "IQD", "CLF", "IDR")]),
          ["2", "0", "3", "3", "4", "2"])
    if shutil.which("node") is None:
        print("# no Node here: currencies not compared")
        return
    said = dict(line.split() for line in subprocess.run(["node", "-e", DIGITS], capture_output=True, text=True,
                                                        check=True).stdout.splitlines())
    codes = sorted(set(said) - BY_CUSTOM)
    print(f"# {len(codes)} currencies compared")
    check(len(codes) > 100, "all of them")
    answers = dict(zip(codes, counted([f"currency {code}" for code in codes])))
    equal({code: answers[code] for code in codes if answers[code] != said[code]}, {})


run(globals())
