package corpus

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fitchet.example/balance/plan"
	"fitchet.example/prey"
	"fitchet.example/units"
)

// Library returns this library's own planner, plan.Week, as a generator.
func Library() Generator { return GeneratorFunc(planWeek) }

func planWeek(ctx context.Context, q Request) (Answer, error) {
	screen, err := q.HazardCheck()
	if err != nil {
		return Answer{}, err
	}
	res, err := plan.Week(ctx, plan.Request{Household: q.Household, Foods: q.Foods, Book: q.Book, HazardCheck: screen, Target: q.Target.ID, Days: q.Days})
	switch {
	case errors.Is(err, plan.ErrUnplanned):
		return Answer{Refused: &Refusal{Because: NoFigure, Reason: "No figure is known for the need of these animals, so no amount can be planned."}}, nil
	case err != nil:
		return Answer{}, err
	case res.Plan != nil:
		return Answer{Plan: res.Plan}, nil
	case res.Outcome == plan.Undecided && len(res.Lacking)+len(res.Clash) == 0:
		return Answer{}, errors.New("no plan was found, and it was not shown that there is none")
	}
	return Answer{Refused: refusal(q, res)}, nil
}

// refusal puts what the planner says into the words of the corpus.
func refusal(q Request, res *plan.Result) *Refusal {
	r := &Refusal{Because: Lacking}
	lack := func(word string) {
		if !slices.Contains(r.Lacks, word) {
			r.Lacks = append(r.Lacks, word)
		}
	}
	var words []string
	for _, l := range res.Lacking {
		words = append(words, fmt.Sprintf("%s (for example %s of %s)", l.What, l.Mass.InGrams(0), l.Food.Name))
		if word := lackWord(l.Food); word != "" {
			lack(word)
		}
	}
	if len(words) > 0 {
		r.Reason = "There is not enough of: " + strings.Join(words, ", ") + "."
	}
	if q.lacksRed() {
		lack("red-meat")
	}
	if kinds := q.kinds(); kinds < 3 {
		lack("kinds")
	}
	if len(res.Lacking) == 0 {
		r.Because = Clash
		r.Reason = "What is asked contradicts itself: " + strings.Join(res.Clash, " ")
	}
	if q.allUnsafe(res) {
		r.Because = Unsafe
		var why []string
		for _, p := range res.Passed {
			why = append(why, p.Food.Name+": "+p.Why)
		}
		r.Reason = "Nothing there is may be fed. " + strings.Join(why, " ")
	}
	if res.Outcome == plan.Undecided {
		r.Reason = "No plan was found, and it was not shown that there is none. " + r.Reason
	}
	if strings.TrimSpace(r.Reason) == "" {
		r.Reason = "No plan meets the rules with what there is."
	}
	return r
}

// lackWord is the slot that a food is bought for.
func lackWord(f *prey.Food) string {
	if f.BoneIn {
		return "bone"
	}
	for p, word := range map[prey.Part]string{prey.Muscle: "muscle", prey.Heart: "heart", prey.Liver: "liver", prey.Organ: "organ"} {
		if f.PartsKnown && f.Shares[prey.Typical][p] == units.Whole {
			return word
		}
	}
	return ""
}

func counts(f *prey.Food) bool {
	switch f.Kind {
	case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood:
		return false
	}
	return true
}

func (q Request) lacksRed() bool {
	return !slices.ContainsFunc(q.foods(), func(f *prey.Food) bool { return counts(f) && f.Colour == prey.Red })
}

// kinds is how many species there are to choose from.
func (q Request) kinds() int {
	seen := map[string]bool{}
	for _, f := range q.foods() {
		if counts(f) {
			for _, s := range f.Animals() {
				seen[s] = true
			}
		}
	}
	return len(seen)
}

// allUnsafe reports whether every food that is meat was passed over for a hazard.
func (q Request) allUnsafe(res *plan.Result) bool {
	unsafe := 0
	for _, p := range res.Passed {
		if strings.HasPrefix(p.Why, "do not feed") {
			unsafe++
		}
	}
	meats := 0
	for _, f := range q.foods() {
		if counts(f) {
			meats++
		}
	}
	return unsafe > 0 && unsafe == meats
}
