package log

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"fitchet.example/ration"
	"fitchet.example/safety"

	"fitchet.example/prey"
	"fitchet.example/units"
)

// Schema names the form of a feeding log.
const Schema = "fitchet.log/1"

// Moment is a day and a minute of it.
type Moment struct {
	Date units.Date
	Time ration.TimeOfDay
}

// parseMoment reads "2026-11-30 07:00".
func parseMoment(s string) (Moment, error) {
	day, clock, ok := strings.Cut(s, " ")
	if !ok {
		return Moment{}, fmt.Errorf("time %.40q: want a day and a time, as in \"2026-11-30 07:00\"", s)
	}
	d, err := units.ParseDate(day)
	if err != nil {
		return Moment{}, err
	}
	t, err := ration.ParseTimeOfDay(clock)
	return Moment{d, t}, err
}

// String returns "2026-11-30 07:00".
func (m Moment) String() string { return m.Date.String() + " " + m.Time.String() }

// Compare orders moments.
func (m Moment) Compare(n Moment) int {
	return cmp.Or(cmp.Compare(m.Date, n.Date), cmp.Compare(m.Time, n.Time))
}

// Since is the time from n to m, below zero when n is the later.
func (m Moment) Since(n Moment) time.Duration {
	return time.Duration(m.Date.DaysSince(n.Date))*safety.Day + time.Duration(m.Time-n.Time)*time.Minute
}

// Seen is what somebody saw one animal do at a bowl.
type Seen uint8

const (
	NotSeen Seen = iota // nobody saw
	AteNone             // it ate nothing of it, or was apart
	AteSome             // it ate some
	AteAll              // whatever was eaten, it ate
	AteMass             // it ate this much
)

// Sighting is what was seen of one animal.
type Sighting struct {
	Animal string
	How    Seen
	Mass   units.Mass // for AteMass
}

// Entry is one food offered in one bowl, and what became of it.
type Entry struct {
	Meal     Moment
	For      []string // who could reach the bowl
	Food     *prey.Food
	Offered  units.Mass
	Left     units.Mass // still in the bowl when it was lifted, bare bone included
	Weighed  bool       // Left is written down; if not, nobody knows what was left
	Stash    units.Mass // found hidden, later
	Searched bool       // Stash is written down; if not, nobody knows what is hidden
	BoneLeft units.Mass // bare bone among Left
	Stage    string     // id of the stage of a switch this food was offered for; "" none
	Treat    bool
	Seen     []Sighting
	At       ration.Place
}

// Weighing is one weight of one animal.
type Weighing struct {
	When   Moment
	Animal string
	Mass   units.Mass
	At     ration.Place
}

// StoolNote is one stool of one animal.
type StoolNote struct {
	When   Moment
	Animal string
	Class  StoolClass
	At     ration.Place
}

// Signs are words for what sends an animal to a vet, in alphabetical order.
func Signs() []string {
	return []string{"choking", "collapse", "drooling", "dull", "fits", "glassy-stare", "pawing-at-mouth", "sore-belly", "vomiting", "weak"}
}

// SignNote is a sign of illness somebody saw.
type SignNote struct {
	When   Moment
	Animal string
	Sign   string // a word of Signs
	At     ration.Place
}

// StepNote is an animal that begins a step of a switch.
type StepNote struct {
	When      Moment
	Animal    string
	Stage     string // id of a switchover.Stage
	VetAgreed bool   // a vet who knows the animal agreed to the change
	At        ration.Place
}

// Drink is one bowl or bottle of water.
type Drink struct {
	When    Moment
	For     []string
	Offered units.Volume
	Left    units.Volume
	Weighed bool // Left is written down
	At      ration.Place
}

// Log is what was fed, as far as it is written down. The order of its entries has no meaning.
type Log struct {
	Household string
	AsOf      Moment
	From      units.Date   // first day the log speaks of
	Complete  []units.Date // days of which everything fed is written down, sorted
	Entries   []Entry
	Weights   []Weighing
	Stools    []StoolNote
	Signs     []SignNote
	Water     []Drink
	Steps     []StepNote
	Unread    []ration.Place // entries with a fault, which are in no list above: any of them may hold a reason for a vet

	need   map[string]int64 // middle of each animal's band, to share bowls
	foods  *prey.Catalogue  // whose bone minerals count where bare bone was left
	schema string
}
