"""A small plan generator that speaks the protocol of examples/audit.

It is honest and not clever: one recipe for the whole house, the same every day,
in whole grams. Where that recipe does not fit it refuses. It needs nothing but
Python 3.9. The flawed generators beside it change one thing each.

    audit -generator 'python3 examples/audit/generators/python/simple.py'
"""

import json
import sys
from fractions import Fraction

SLOTS = ("muscle", "heart", "bone", "liver", "organ")


def grams(text):
    """'1.2 kg', '57 g', '1 lb 4 oz' as an exact number of grams."""
    unit = {"mg": Fraction(1, 1000), "g": 1, "kg": 1000, "oz": Fraction("28.349523125"), "lb": Fraction("453.59237")}
    total, words = Fraction(0), text.split()
    number = Fraction(0)
    for word in words:
        if word in unit:
            total, number = total + number * unit[word], Fraction(0)
        else:
            number += Fraction(word)
    return total


def percent(text):
    return Fraction(text.split()[0]) / 100


def typical(three):
    return Fraction(three[1].split()[0])


def split(total, weights):
    """Whole numbers in proportion to the weights that sum exactly to total."""
    whole = sum(weights)
    parts = [total * w // whole for w in weights]
    rest = sorted(range(len(weights)), key=lambda i: (-(total * weights[i] % whole), i))
    for i in rest[: total - sum(parts)]:
        parts[i] += 1
    return parts


class Refused(Exception):
    def __init__(self, because, reason, lacks=()):
        super().__init__(reason)
        self.because, self.lacks = because, list(lacks)


class Planner:
    """One request. Subclasses change one step of it."""

    name = "simple recipe"

    def __init__(self, request):
        self.q = request
        self.house = request["household"]
        self.foods = {f["id"]: f for f in request["foods"]}

    # ---- what there is

    def amounts(self):
        """Grams of every food that may be fed to everybody, from freezer and shop."""
        recalled = {(r["food"], r["supplier"], r.get("lot", "")) for r in self.q.get("recalled", [])}
        out, self.unsafe = {}, 0
        for lot in self.house.get("stock", []):
            if lot.get("best-before", "9999") < self.house["as-of"]:
                continue
            if (lot["food"], lot.get("supplier", ""), lot.get("lot", "")) in recalled:
                self.unsafe += 1
                continue
            self.add(out, lot, "mass", 1)
        for offer in self.house.get("offers", []):
            self.add(out, offer, "pack", offer.get("max", 40))
        return out

    def add(self, out, entry, key, times):
        food = self.foods[entry["food"]]
        if any(h["gravity"] == "stop" for h in food.get("hazards", [])):
            self.unsafe += 1
            return
        if any(h["gravity"] == "mend" for h in food.get("hazards", [])) or "energy" not in food:
            return
        species = {food.get("species"), *food.get("contains", [])}
        for animal in self.house["animals"]:
            if any(n == food["id"] or n in species for n in animal.get("never", [])):
                return
        mass = grams(entry[key]) if key in entry else grams(food["piece"]["typical"]) * entry["pieces"]
        out[food["id"]] = out.get(food["id"], 0) + mass * times

    def slot(self, food):
        """The slot that a food is bought for, or None."""
        if food["kind"] in ("egg", "oil", "supplement", "dry-food", "dried", "fish") or food.get("complete"):
            return None
        parts = food.get("parts", {})
        if "bone" in parts:
            return "bone"
        for part, three in parts.items():
            if percent(three[1]) == 1 and part in SLOTS:
                return part
        return None

    def bone_of(self, food):
        """How much of a bone-in food is bone."""
        return percent(self.foods[food]["parts"]["bone"][1])

    # ---- the recipe

    def recipe(self, have):
        """Shares of the foods in the mix; they sum to one."""
        target = self.q["target"]
        if not target["shares"]:
            return self.complete_recipe(have, percent(target["complete-at-least"]))
        by_slot = {s: sorted((f for f in have if self.slot(self.foods[f]) == s), key=lambda f: -have[f]) for s in SLOTS}
        aims = {s["slot"]: (percent(s["low"]), percent(s["aim"]), percent(s["high"])) for s in target["shares"]}
        lacks = [s for s in SLOTS if s in aims and not by_slot[s]]
        reds = [f for f in have if self.slot(self.foods[f]) and self.foods[f]["colour"] == "red"]
        kinds = {self.foods[f].get("species") for f in have if self.slot(self.foods[f])}
        if self.house["animals"][0].get("species", "ferret") == "ferret":
            lacks += [] if reds else ["red-meat"]
            lacks += [] if len(kinds) >= 3 else ["kinds"]
        if lacks:
            raise Refused("unsafe" if self.unsafe and not have else "lacking", "The house lacks " + ", ".join(lacks) + ".", lacks)
        mix = {}
        for s in ("heart", "liver", "organ"):
            if s in aims:
                for f in by_slot[s]:
                    mix[f] = aims[s][1] * have[f] / sum(have[g] for g in by_slot[s])
        low, aim, high = aims["bone"]
        bone = by_slot["bone"]
        want = (low + high) / 2
        share = self.bone_share(bone[0], want)
        mix[bone[0]] = share
        rest = 1 - sum(mix.values())
        meats = by_slot["muscle"]
        if rest < 0 or not meats:
            raise Refused("clash", "The recipe leaves no room for meat.")
        # Every meat gets its part, so that the kinds are there.
        for f in meats:
            mix[f] = mix.get(f, 0) + rest * have[f] / sum(have[g] for g in meats)
        return mix

    def bone_share(self, food, want):
        """How much of a bone-in food holds the wanted share of bone."""
        if self.q["target"]["bone-means"] == "bone-in-meat":
            return want
        return want / self.bone_of(food)

    def complete_recipe(self, have, least):
        whole = [f for f in have if self.foods[f].get("complete") and self.foods[f]["kind"] != "dry-food"]
        if not whole:
            raise Refused("lacking", "No whole prey and no complete mix is in the house.")
        mix = {f: Fraction(19, 20) * have[f] / sum(have[g] for g in whole) for f in whole}
        beside = [f for f in have if self.slot(self.foods[f]) == "muscle"]
        for f in beside or whole:
            mix[f] = mix.get(f, 0) + Fraction(1, 20) / len(beside or whole)
        return mix

    # ---- the week

    def kcal(self):
        """What the whole house needs in a day, at the middle of each band."""
        bands = [n.get("band") for n in self.q["needs"]]
        if not any(bands):
            raise Refused("no-figure", "No figure is known for the need of these animals.")
        return sum(Fraction(b["middle"].split()[0]) for b in bands if b)

    def total(self, mix):
        """Grams of the mix for all the days."""
        energy = sum(share * typical(self.foods[f]["energy"]) / 100 for f, share in mix.items())
        return self.kcal() * self.q["days"] / energy

    def bowls(self):
        """Who eats together, with the kcal of each bowl and its meals a day."""
        out = {}
        for animal, need in zip(self.house["animals"], self.q["needs"]):
            if "band" not in need:
                continue
            key = animal.get("group") or animal["id"]
            bowl = out.setdefault(key, {"for": [], "kcal": 0, "meals": self.house.get("meals-per-day", 1)})
            bowl["for"].append(animal["id"])
            bowl["kcal"] += int(Fraction(need["band"]["middle"].split()[0]) * 10)
            bowl["meals"] = max(bowl["meals"], need["meals"])
        return list(out.values())

    def plan(self):
        have = self.amounts()
        if not have and self.unsafe:
            raise Refused("unsafe", "All that is in the house must not be fed.")
        mix = self.recipe(have)
        total = self.total(mix)
        foods = [f for f in mix if mix[f] > 0]
        masses = {f: int(total * mix[f] + Fraction(1, 2)) for f in foods}
        short = [f for f in foods if masses[f] > have[f]]
        if short:
            raise Refused("lacking", "There is not enough of " + ", ".join(self.foods[f]["name"] for f in short) + ".", ["food"])
        return self.lay_out(masses)

    def lay_out(self, masses):
        """The same every day, every meal, in whole grams that sum to the total."""
        bowls, days = self.bowls(), self.q["days"]
        cells = [(d, b, m) for d in range(days) for b in range(len(bowls)) for m in range(bowls[b]["meals"])]
        weights = [bowls[b]["kcal"] * 60 // bowls[b]["meals"] for _, b, m in cells]
        given = {cell: [] for cell in cells}
        for n, (food, mass) in enumerate(sorted(masses.items())):
            turn = n * 7 % len(cells)  # so that not every food rounds up in the same meal
            order = cells[turn:] + cells[:turn]
            for cell, part in zip(order, split(mass, weights[turn:] + weights[:turn])):
                if part:
                    given[cell].append({"food": food, "mass": "%d g" % part})
        return self.paper([
            [{"meal": m + 1, "for": bowls[b]["for"], "servings": given[d, b, m]} for b in range(len(bowls)) for m in range(bowls[b]["meals"]) if given[d, b, m]]
            for d in range(days)
        ])

    def paper(self, days):
        from datetime import date, timedelta

        first = date.fromisoformat(self.q["start"])
        return {
            "schema": "fitchet.plan/1",
            "household": self.house["household"],
            "start": self.q["start"],
            "target": self.q["target"]["id"],
            "days": [{"date": (first + timedelta(d)).isoformat(), "meals": meals} for d, meals in enumerate(days)],
        }


def serve(planner):
    def say(message):
        sys.stdout.write(json.dumps(message, ensure_ascii=False) + "\n")
        sys.stdout.flush()

    for line in sys.stdin:
        message = json.loads(line)
        if message["type"] == "hello":
            say({"type": "hello", "protocol": "fitchet.protocol/1", "name": planner.name, "version": "1", "language": "Python"})
        elif message["type"] == "ask":
            answer = {"type": "answer", "id": message["id"]}
            try:
                answer["plan"] = planner(message["request"]).plan()
            except Refused as no:
                answer["refused"] = {"because": no.because, "reason": str(no), "lacks": no.lacks}
            except Exception as failure:  # the runner is told; one bad ask does not end the program
                answer["fault"] = "%s: %s" % (type(failure).__name__, failure)
            say(answer)
        elif message["type"] == "bye":
            return


if __name__ == "__main__":
    sys.stdin.reconfigure(encoding="utf-8")
    sys.stdout.reconfigure(encoding="utf-8")
    serve(Planner)
