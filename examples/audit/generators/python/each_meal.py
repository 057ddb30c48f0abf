"""A flawed generator: it judges each meal instead of the week.

It wants every meal to be balanced by itself, so each gets a little of everything,
in whole grams, rounded up. A gram too much of liver in a meal of 25 g is four
percent; over the week that is far too much liver and kidney. The corpus must find
that: share-liver, share-organ.
"""

import sys

sys.dont_write_bytecode = True  # leave nothing beside the files

from simple import Planner, serve  # noqa: E402


class EachMeal(Planner):
    name = "judges each meal instead of the week"

    def lay_out(self, masses):
        bowls, days = self.bowls(), self.q["days"]
        kcal = sum(b["kcal"] for b in bowls)

        def part(mass, bowl):  # the flaw: rounded up in every meal
            return -(-mass * bowl["kcal"] // (kcal * days * bowl["meals"]))

        meals = [
            {"meal": m + 1, "for": b["for"], "servings": [{"food": f, "mass": "%d g" % part(mass, b)} for f, mass in sorted(masses.items()) if mass]}
            for b in bowls
            for m in range(b["meals"])
        ]
        return self.paper([meals] * days)


if __name__ == "__main__":
    sys.stdin.reconfigure(encoding="utf-8")
    sys.stdout.reconfigure(encoding="utf-8")
    serve(EachMeal)
