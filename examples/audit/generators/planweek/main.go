// Planweek is a plan generator that speaks the protocol of examples/audit. It
// wraps this library's own planner, and shows all that a harness in Go needs.
//
//	audit -generator 'go run ./examples/audit/generators/planweek'
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"fitchet.example/balance"
	"fitchet.example/balance/plan"
	"fitchet.example/balance/shares"
	"fitchet.example/prey"
	"fitchet.example/ration"
)

func main() {
	if err := serve(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "generator:", err)
		os.Exit(1)
	}
}

// message is every message that comes in: hello, ask or bye.
type message struct {
	Type    string `json:"type"`
	ID      int64  `json:"id"`
	Request struct {
		Days      int             `json:"days"`
		Household json.RawMessage `json:"household"`
		Target    struct {
			ID string `json:"id"`
		} `json:"target"`
		Foods []struct {
			ID      string `json:"id"`
			Hazards []struct {
				Severity string `json:"gravity"`
				Open     bool   `json:"open"`
				Sentence string `json:"sentence"`
			} `json:"hazards"`
		} `json:"foods"`
		Recalled []struct {
			Food     string `json:"food"`
			Supplier string `json:"supplier"`
			Lot      string `json:"lot"`
			Sentence string `json:"sentence"`
		} `json:"recalled"`
	} `json:"request"`
}

type hello struct {
	Type     string `json:"type"`
	Protocol string `json:"protocol"`
	Name     string `json:"name"`
	Version  string `json:"version"`
	Language string `json:"language"`
}

type answer struct {
	Type    string       `json:"type"`
	ID      int64        `json:"id"`
	Plan    *ration.Plan `json:"plan,omitempty"`
	Refused *refused     `json:"refused,omitempty"`
	Fault   string       `json:"fault,omitempty"`
}

type refused struct {
	Because string   `json:"because"`
	Reason  string   `json:"reason"`
	Lacks   []string `json:"lacks,omitempty"`
}

func serve(in io.Reader, out io.Writer) error {
	foods, err := prey.Shipped()
	if err != nil {
		return err
	}
	book, err := balance.Shipped()
	if err != nil {
		return err
	}
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 64<<20)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	for lines.Scan() {
		var m message
		if err := json.Unmarshal(lines.Bytes(), &m); err != nil {
			return fmt.Errorf("a message that is no JSON: %w", err)
		}
		switch m.Type {
		case "hello":
			err = enc.Encode(hello{"hello", "fitchet.protocol/1", "fitchet planner", "0", "Go"})
		case "ask":
			a := reply(m, foods, book)
			a.Type, a.ID = "answer", m.ID
			err = enc.Encode(a)
		case "bye":
			return nil
		}
		if err != nil {
			return err
		}
	}
	return lines.Err()
}

// reply answers one ask. What must not be fed is taken out of the house first: the
// request says so, and this library's planner would find it out for itself only
// with the notices before it.
func reply(m message, foods *prey.Catalogue, book *balance.Book) answer {
	h, _, err := ration.LoadHousehold("request", strings.NewReader(string(m.Request.Household)), foods)
	if err != nil {
		return answer{Fault: err.Error()}
	}
	unsafe := map[string]string{}
	for _, f := range m.Request.Foods {
		for _, z := range f.Hazards {
			if z.Severity == "stop" {
				unsafe[f.ID] = z.Sentence
			}
		}
	}
	meats, why := 0, ""
	keep := func(f *prey.Food) bool {
		sentence, stop := unsafe[f.ID]
		switch {
		case stop:
			why = sentence
		case f.Kind != prey.EggFood && f.Kind != prey.Oil && f.Kind != prey.Supplement:
			meats++
		}
		return !stop
	}
	recalled := func(s ration.Stock) bool {
		for _, r := range m.Request.Recalled {
			if r.Food == s.Food.ID && r.Supplier == s.Supplier && r.Lot == s.Lot {
				why = r.Sentence
				return true
			}
		}
		return false
	}
	var stock []ration.Stock
	for _, s := range h.Stock {
		if !recalled(s) && keep(s.Food) {
			stock = append(stock, s)
		}
	}
	var offers []ration.Offer
	for _, o := range h.Offers {
		if keep(o.Food) {
			offers = append(offers, o)
		}
	}
	if meats == 0 && why != "" {
		return answer{Refused: &refused{Because: "unsafe", Reason: "Nothing there is may be fed. " + why}}
	}
	h.Stock, h.Offers = stock, offers
	res, err := plan.Week(context.Background(), plan.Request{Household: h, Foods: foods, Book: book, Target: m.Request.Target.ID, Days: m.Request.Days})
	switch {
	case errors.Is(err, plan.ErrUnplanned):
		return answer{Refused: &refused{Because: "no-figure", Reason: "No figure is known for the need of these animals."}}
	case err != nil:
		return answer{Fault: err.Error()}
	case res.Plan != nil:
		return answer{Plan: res.Plan}
	case res.Outcome == plan.Undecided && len(res.Lacking)+len(res.Clash) == 0:
		return answer{Fault: "no plan was found, and it was not shown that there is none"}
	}
	return answer{Refused: refusal(h, res)}
}

// refusal puts what the planner says into the words of the protocol.
func refusal(h *ration.Household, res *plan.Result) *refused {
	out := &refused{Because: "lacking"}
	var words []string
	for _, l := range res.Lacking {
		words = append(words, l.Mass.InGrams(0)+" of "+l.What)
		for _, s := range []struct {
			word string
			slot shares.Slot
		}{{"muscle", shares.MuscleSlot}, {"heart", shares.HeartSlot}, {"bone", shares.BoneSlot}, {"liver", shares.LiverSlot}, {"organ", shares.OrganSlot}} {
			if inSlot(l.Food, s.slot) && !slices.Contains(out.Lacks, s.word) {
				out.Lacks = append(out.Lacks, s.word)
			}
		}
	}
	out.Reason = "Lacking: " + strings.Join(words, ", ") + "."
	if len(res.Lacking) == 0 {
		out.Because, out.Reason = "clash", "What is asked contradicts itself. "+strings.Join(res.Clash, " ")
	}
	kinds, red := map[string]bool{}, false
	for _, s := range h.Stock {
		if s.Food.Kind != prey.EggFood && s.Food.Kind != prey.Oil && s.Food.Kind != prey.Supplement && s.Food.Kind != prey.DryFood {
			kinds[s.Food.Species] = true
			red = red || s.Food.Colour == prey.Red
		}
	}
	for _, o := range h.Offers {
		kinds[o.Food.Species] = true
		red = red || o.Food.Colour == prey.Red
	}
	if !red {
		out.Lacks = append(out.Lacks, "red-meat")
	}
	if len(kinds) < 3 {
		out.Lacks = append(out.Lacks, "kinds")
	}
	return out
}

// inSlot reports whether a food is bought for the slot: bone-in cuts for bone, all
// else for the one part it is.
func inSlot(f *prey.Food, slot shares.Slot) bool {
	if f.BoneIn {
		return slot == shares.BoneSlot
	}
	part := map[shares.Slot]prey.Part{shares.MuscleSlot: prey.Muscle, shares.HeartSlot: prey.Heart, shares.LiverSlot: prey.Liver, shares.OrganSlot: prey.Organ}
	p, ok := part[slot]
	return ok && f.PartsKnown && f.Shares[prey.Typical][p] > 0
}
