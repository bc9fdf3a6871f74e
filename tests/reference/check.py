"""Checks against reference libraries: the cheapest set of jobs against scipy.optimize.milp (HiGHS), least squares against numpy and
scipy.stats, the calendar against the icalendar parser. All figures are drawn at random from a fixed seed.

    python check.py path/to/hoistnote
"""

import datetime
import json
import random
import subprocess
import sys
import tempfile
from decimal import ROUND_HALF_UP, Decimal
from itertools import product
from pathlib import Path

import icalendar
import numpy
from scipy import optimize, stats

END, SIDE = ("front", "rear"), ("left", "right")
PLACES = [[], ["front"], ["front", "left"], ["rear", "left", "right"], ["front", "rear", "left", "right"], ["right"]]
TELLS = {"vehicle": (False, False), "end": (True, False), "side": (False, True), "corner": (True, True)}
PARTS = """brake-pad brake-rotor brake-caliper brake-hose brake-shoe brake-drum tire wheel-bearing ball-joint control-arm strut
coil-spring tie-rod-end sway-bar-link battery alternator starter-motor serpentine-belt water-pump thermostat radiator oil-pan
engine-mount air-filter spark-plug muffler flex-pipe half-shaft cv-boot clutch horn wiper-blade headlight door-latch""".split()


def run(binary, *arguments):
    done = subprocess.run([binary, *map(str, arguments)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def finding(number, part, position, **more):
    return {
        "id": f"f{number:04}", "component": {"id": part, "name": part, "system": "", "aliases": []}, "position": position,
        "verdict": "defect", "conditions": [], "urgency": "now", "actions": ["replace"], "alternatives": [],
        "measurements": [], "confidence": 0.9, "evidence": [], "why": [],
    } | more


def document(findings, odometer=None):
    run_ = odometer and {"value": odometer, "unit": "km"}
    return {
        "schema": "hoistnote/findings/1", "source": {"path": "made", "format": "made", "sha256": ""},
        "vehicle": {"odometer": run_, "identification": "unit 14"}, "utterances": [], "findings": findings,
        "general_talk": [], "withdrawn": [], "unplaced": [], "cautions": [],
    }


# ---- the cheapest set of jobs ----

def sites(position):
    ends = [w for w in END if w in position] or [None]
    sides = [w for w in SIDE if w in position] or [None]
    return list(product(ends, sides))


def narrowed(site, per):
    return tuple(word if told else None for word, told in zip(site, TELLS[per]))


def spread(site, per_from, per_to):
    axes = []
    for word, words, told, asked in zip(site, (END, SIDE), TELLS[per_from], TELLS[per_to]):
        axes.append([None] if not asked else [word] if word or told else list(words))
    return list(product(*axes))


def round_cents(value):
    return value.quantize(Decimal("0.01"), ROUND_HALF_UP)


class Book:
    def __init__(self, dice, jobs, operations):
        self.by_line = dice.random() < 0.5
        self.rates = {"m": Decimal("96.40"), "d": Decimal("118.25")}
        self.cap = dice.choice([None, Decimal("25.50"), Decimal("180.00")])
        self.percent, self.goods, self.work = Decimal("7.5"), Decimal("7.25"), Decimal("1.5")
        hundredths = lambda most: Decimal(dice.randrange(most)) / 100
        self.operations = []
        for n in range(operations):
            needs = dice.sample(range(n), min(n, dice.randrange(3)))
            hours, kind, per = hundredths(150), dice.choice("md"), dice.choice(list(TELLS))
            # at the rear it may take another time, where front and rear are told apart
            rear = hundredths(150) if TELLS[per][0] and dice.random() < 0.5 else None
            self.operations.append((hours, kind, per, needs, rear))
        self.jobs = []
        for _ in range(jobs):
            covers = dice.sample(PARTS, dice.randrange(1, 4))
            needs = dice.sample(range(operations), dice.randrange(4))
            per = dice.choice(list(TELLS))
            self.jobs.append((covers, per, needs, hundredths(250), dice.choice("md"), hundredths(15000), dice.randrange(1, 4)))

    def text(self):
        out = [f'currency = "USD"\nround = "{"line" if self.by_line else "total"}"\n[supplies]\npercent = {self.percent}',
               'of = ["labour"]' + (f"\ncap = {self.cap}" if self.cap else "")]
        out += [f'[[labour]]\nid = "{k}"\nrate = {v}' for k, v in self.rates.items()]
        out += [f'[[tax]]\nname = "goods"\npercent = {self.goods}\non = ["parts", "supplies"]',
                f'[[tax]]\nname = "work"\npercent = {self.work}\non = ["labour"]']
        for n, (hours, kind, per, needs, rear) in enumerate(self.operations):
            at = f'\nhours_at = [{{ at = ["rear"], hours = {rear} }}]' if rear is not None else ""
            out.append(f'[[operation]]\nid = "o{n}"\nname = "o{n}"\nhours = {hours}\nlabour = "{kind}"\nper = "{per}"\n'
                       f'needs = {json.dumps([f"o{k}" for k in needs])}{at}')
        for n, (covers, per, needs, hours, kind, price, count) in enumerate(self.jobs):
            covers = ", ".join(f'{{ part = "{c}" }}' for c in covers)
            out.append(f'[[job]]\nid = "j{n}"\nname = "j{n}"\nper = "{per}"\ncovers = [{covers}]\nhours = {hours}\nlabour = "{kind}"\n'
                       f'operations = {json.dumps([f"o{k}" for k in needs])}\n'
                       f'parts = [{{ name = "p{n}", quantity = {count}, price = {price} }}]')
        return "\n".join(out) + "\n"

    def line(self, value):
        return round_cents(value) if self.by_line else value

    def labour(self, hours, kind):
        return self.line(hours * self.rates[kind])

    def step_labour(self, step):
        operation, place = step
        hours, kind, _, _, rear = self.operations[operation]
        return self.labour(rear if rear is not None and place[0] == "rear" else hours, kind)

    def steps(self, job, site):
        """All steps of a job at a site, directly needed or not."""
        seen, open_ = set(), [(o, site, self.jobs[job][1]) for o in self.jobs[job][2]]
        while open_:
            operation, at, per = open_.pop()
            _, _, own, needs, _ = self.operations[operation]
            for place in spread(at, per, own):
                if (operation, place) not in seen:
                    seen.add((operation, place))
                    open_ += [(need, place, own) for need in needs]
        return seen

    def exact(self, chosen):
        """Labour, parts and the total before sums are rounded."""
        steps = set().union(*(self.steps(*c) for c in chosen)) if chosen else set()
        labour = sum((self.step_labour(s) for s in steps), Decimal(0))
        labour += sum((self.labour(self.jobs[j][3], self.jobs[j][4]) for j, _ in chosen), Decimal(0))
        parts = sum((self.line(self.jobs[j][5] * self.jobs[j][6]) for j, _ in chosen), Decimal(0))
        supplies = labour * self.percent / 100
        supplies = min(supplies, self.cap) if self.cap else supplies
        goods, work = 1 + self.goods / 100, 1 + self.work / 100
        return labour, parts, labour * work + parts * goods + supplies * goods

    def total(self, chosen):
        """What is to be paid, rounded as the rule says."""
        labour, parts, _ = self.exact(chosen)
        supplies = labour * self.percent / 100
        supplies = round_cents(min(supplies, self.cap) if self.cap else supplies)
        labour, parts = round_cents(labour), round_cents(parts)
        return (labour + parts + supplies + round_cents((parts + supplies) * self.goods / 100)
                + round_cents(labour * self.work / 100))

    def optimum(self, needs):
        """The least total before sums are rounded, by scipy."""
        able = [{(j, narrowed(site, job[1])) for j, job in enumerate(self.jobs) if part in job[0]} for part, site in needs]
        able = [a for a in able if a]
        jobs = sorted({c for a in able for c in a}, key=repr)
        steps = sorted({s for c in jobs for s in self.steps(*c)}, key=repr)
        index = {c: n for n, c in enumerate(jobs)} | {("step", s): len(jobs) + n for n, s in enumerate(steps)}
        size = len(index) + 2  # supplies, and whether they are capped
        goods, work = float(1 + self.goods / 100), float(1 + self.work / 100)
        cost, labour = numpy.zeros(size), numpy.zeros(size)
        for (j, site), n in ((c, index[c]) for c in jobs):
            labour[n] = self.labour(self.jobs[j][3], self.jobs[j][4])
            cost[n] = labour[n] * work + float(self.line(self.jobs[j][5] * self.jobs[j][6])) * goods
        for s in steps:
            n = index["step", s]
            labour[n] = self.step_labour(s)
            cost[n] = labour[n] * work
        cost[size - 2] = goods
        rows, least = [], []
        for a in able:
            row = numpy.zeros(size)
            row[[index[c] for c in a]] = 1
            rows.append(row), least.append(1)
        for c in jobs:
            for s in self.steps(*c):
                row = numpy.zeros(size)
                row[index["step", s]], row[index[c]] = 1, -1
                rows.append(row), least.append(0)
        share = -labour * float(self.percent) / 100
        most = -share.sum()
        row = share.copy()
        row[size - 2], row[size - 1] = 1, most
        rows.append(row), least.append(0)
        row = numpy.zeros(size)
        row[size - 2], row[size - 1] = 1, -float(self.cap) if self.cap else 0
        rows.append(row), least.append(0)
        high = numpy.ones(size)
        high[size - 2] = numpy.inf
        high[size - 1] = 1 if self.cap else 0
        whole = numpy.ones(size)
        whole[size - 2] = 0
        found = optimize.milp(cost, constraints=optimize.LinearConstraint(numpy.array(rows), least, numpy.inf),
                              integrality=whole, bounds=optimize.Bounds(0, high), options={"mip_rel_gap": 0})
        assert found.success, found.message
        return found.fun


def check_solver(binary, folder):
    for seed in range(40):
        dice = random.Random(seed)
        jobs, count = dice.choice([(40, 15), (90, 25), (150, 40)])
        book = Book(dice, jobs, dice.randrange(10, 41))
        findings = [finding(n, dice.choice(PARTS), dice.choice(PLACES)) for n in range(count)]
        (folder / "book.toml").write_text(book.text())
        (folder / "found.json").write_text(json.dumps(document(findings)) + "\n")
        out = json.loads(run(binary, "price", folder / "found.json", "--rates", folder / "book.toml", "--format", "json"))
        place = lambda p: (next((w for w in END if w in p), None), next((w for w in SIDE if w in p), None))
        chosen = [(int(j["job"][1:]), place(j["position"])) for j in out["jobs"]]
        needs = [(f["component"]["id"], s) for f in findings for s in sites(f["position"])]
        least, mine = book.optimum(needs), book.exact(chosen)[2]
        assert abs(float(mine) - least) < 1e-5, f"seed {seed}: {mine} here, {least} by scipy"
        assert Decimal(out["totals"]["total"]["high"]) == book.total(chosen), f"seed {seed}: {out['totals']}"
        for part, site in needs:
            served = any(part in book.jobs[j][0] and narrowed(site, book.jobs[j][1]) == at for j, at in chosen)
            lacks = not any(part in job[0] for job in book.jobs)
            assert served != lacks, f"seed {seed}: {part} {site}"
    print("solver: 40 books of 40 to 150 jobs, as cheap as scipy.optimize.milp")


# ---- wear ----

def check_wear(binary, folder):
    for seed in range(60):
        dice = random.Random(seed)
        visits = dice.randrange(3, 9)
        days = sorted(dice.sample(range(0, 1500), visits))
        run_ = sorted(dice.sample(range(20_000, 120_000), visits))
        values = [round(11 - 7 * d / 1500 + dice.gauss(0, 0.5), 2) for d in days]
        limit = 1.6
        paths = []
        for n, (km, value) in enumerate(zip(run_, values)):
            paths.append(folder / f"visit{n}.json")
            figure = [{"value": value, "unit": "mm", "limit": None}]
            paths[-1].write_text(json.dumps(document([finding(1, "brake-pad", ["front", "left"], measurements=figure)], km)))
        start = datetime.date(2024, 1, 1)
        dates = ",".join(str(start + datetime.timedelta(d)) for d in days)
        out = json.loads(run(binary, "compare", *paths, "--days", dates, "--limit", f"brake-pad={limit}mm", "--format", "json"))
        [wear] = out["wear"]
        for points, stretch, trend in [(days, 30.436875, wear["by_time"]), (run_, 1000, wear["by_distance"])]:
            x = numpy.array(points, float) - points[0]
            slope, intercept = numpy.polyfit(x, values, 1)
            line = stats.linregress(x, values)
            assert numpy.isclose(trend["rate"], slope * stretch, rtol=1e-9), (seed, trend, slope)
            assert numpy.isclose(trend["rate_error"], line.stderr * stretch, rtol=1e-9), (seed, trend, line)
            towards = slope < 0 and values[-1] > limit
            meets = trend["meets"]
            # what had not met its limit at the last visit is told to meet it no earlier
            last = x[-1]
            expected = max((limit - intercept) / slope, last)
            far = points is days and expected > 3652 or points is run_ and expected + points[0] > 1e7
            assert (meets is not None) == (towards and not far), (seed, trend, slope, expected)
            if meets is None:
                continue

            def place(mark):
                return (datetime.date.fromisoformat(mark["day"]) - start).days - points[0] if "day" in mark \
                    else mark["odometer"]["value"] - points[0]

            assert abs(place(meets["at"]) - expected) <= 0.51, (seed, meets, expected)
            # the interval's ends lie where the confidence band of the line meets the limit
            freedom = len(x) - 2
            deviation = numpy.sqrt(((values - intercept - slope * x) ** 2).sum() / freedom)
            t, spread_ = stats.t.ppf(0.9, freedom), ((x - x.mean()) ** 2).sum()

            def band(at, sign):
                return intercept + slope * at + sign * t * deviation * numpy.sqrt(1 / len(x) + (at - x.mean()) ** 2 / spread_) - limit

            if slope**2 <= (t * deviation) ** 2 / spread_:
                assert meets["between"] is None, (seed, meets)
                continue
            for sign, mark in zip((-1, 1), meets["between"]):
                if mark is not None and band(last, sign) <= 0:
                    assert abs(place(mark) - last) <= 0.51, (seed, mark)
                elif mark is not None:
                    assert abs(band(place(mark), sign)) <= abs(slope) * 1.5 + 1e-6, (seed, mark, band(place(mark), sign))
    print("wear: 60 series, as numpy.polyfit, scipy.stats.linregress and the t distribution have them")


# ---- calendar ----

def check_calendar(binary, folder, rates):
    for n in range(12):
        visit = folder / "inspections" / f"visit {n}, ;\u00e4"
        visit.mkdir(parents=True)
        (visit / "notes.txt").write_text(
            f"unit {n}, 71,400 miles\nlf brake pads 2 mm; \"thin\", replace them now \u2014 \u00e4\u00f6\u00fc, " + "x" * 90 + "\n"
            "serpentine belt cracked, it will do two more weeks\n")
        found = json.loads(run(binary, "final", visit, "--format", "json"))["findings"]
        assert len(found) == 2, found
        run(binary, "price", visit, "--rates", rates, "--later", f"{found[0]['id']}={n + 1}d", "--decline", f"{found[1]['id']}=500mi")
    raw = subprocess.run([binary, "due", folder / "inspections", "--format", "ics"], capture_output=True, check=True).stdout
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    calendar = icalendar.Calendar.from_ical(raw)
    assert not calendar.errors
    events, tasks = calendar.walk("VEVENT"), calendar.walk("VTODO")
    listed = [json.loads(line) for line in run(binary, "due", folder / "inspections", "--format", "json").splitlines()]
    assert (len(events), len(tasks), len(listed)) == (12, 12, 24)
    assert len({str(e["UID"]) for e in events + tasks}) == 24
    for event in events:
        assert not event.errors
        [mine] = [f for f in listed if f["inspection"] in str(event["DESCRIPTION"]) and f["due"]]
        assert str(event.decoded("DTSTART")) == mine["due"]
        assert all(words in str(event["DESCRIPTION"]) for words in mine["words"])
        assert str(event["SUMMARY"]) == f"Ask again: {mine['vehicle']}: {mine['part']}, left front"
    print("calendar: 24 follow-ups, read back by icalendar", icalendar.__version__)


def main():
    binary = str(Path(sys.argv[1]).resolve())
    rates = Path(__file__).resolve().parents[2] / "samples" / "rates" / "larkfield"
    with tempfile.TemporaryDirectory() as folder:
        check_solver(binary, Path(folder))
        check_wear(binary, Path(folder))
        check_calendar(binary, Path(folder), rates)


if __name__ == "__main__":
    main()
