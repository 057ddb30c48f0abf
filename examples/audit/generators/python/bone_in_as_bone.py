"""A flawed generator: it counts bone-in meat as bone.

It reads "10 % bone" and puts 10 % of wing or of ground meat with bone into the
mix, as if all of that were bone. The two meanings differ by more than two to one,
so its weeks hold too little bone. The corpus must find that: share-bone.
"""

import sys

sys.dont_write_bytecode = True  # leave nothing beside the files

from simple import Planner, serve  # noqa: E402


class BoneInAsBone(Planner):
    name = "counts bone-in meat as bone"

    def bone_share(self, food, want):
        return want  # the flaw: the whole cut is taken for bone


if __name__ == "__main__":
    sys.stdin.reconfigure(encoding="utf-8")
    sys.stdout.reconfigure(encoding="utf-8")
    serve(BoneInAsBone)
