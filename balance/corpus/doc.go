// Package corpus reads the rule corpus and judges with it: this library, any
// plan generator in Go, and, by way of the program examples/audit, any program.
//
// The corpus is language-neutral YAML under testdata/corpus, embedded by package
// testdata; [Load] takes any other fs.FS of the same form. Every kind of file
// has a JSON Schema under testdata/schemas. It holds
//
//   - cases: a plan, and what an audit of it must find (fitchet.cases/1)
//   - scenarios: a household, and what any plan for it must satisfy, or why it
//     must be refused (fitchet.scenarios/1)
//   - foods of the cases, as fed, with nothing left to work out (fitchet.foods/1)
//   - households of the scenarios, as package ration reads them
//   - rules that were given up and stay runnable, and rules of one house
//   - a manifest with the version, all files, the number of entries of each and
//     the sources they rest on (fitchet.corpus/1)
//
// The rules and targets in force are not here but in package balance: there is
// one copy of them.
//
// # Cases
//
//   - id: zcmxjm3m            # permanent; never used again
//     title: Calcium exactly at 1.5 g per 1000 kcal
//     bound: low              # of the rule of the file: low or high
//     side: at                # at, inside or outside: by the smallest step there is
//     ref: "derived aafco-2014: p. 14, …"
//     why: 15 g with 10 g per 1000 kcal and 85 g with none, energy alike.
//     failing: A keeper would be told to change food that is right …
//     target: whole-prey      # else the default
//     rules-on: "2010"        # judged by the rules as they stood then
//     laid-over: rules/x.yaml # rules of a house over the shipped ones
//     region: …               # with notices: what is known of bird flu and recalls
//     notices: […]
//     animals:                # else nobody's need is known
//   - {id: bramble, sex: jill, weight: 1 kg, stage: adult}
//     stock: [{food: …, supplier: …, lot: …}]
//     days: 7                 # 7 when left out; the first is 2026-11-30
//     menu:                   # what is fed on every day, or on the days named
//   - {days: "1", meal: 1, for: [bramble], food: muscle, mass: 15 g, pieces: 1, form: minced}
//     expect:                 # for each rule named, all its findings
//   - {verdict: missed, range: open, side: below, reason: …, measured: {typical: "10", unit: "%"}}
//
// A menu line without days is fed on every day, without meal in the first meal,
// without for to all animals at one bowl. An expectation without rule is about
// the rule of the file, without range has the same verdict over the whole range
// of figures. Figures are compared as decimals; their tolerance is zero unless
// the case gives another and says why.
//
// # Errors
//
// [Load] and [Lint] return every fault of every file at once, each a
// strict.Fault with path:line:column. [Corpus.Judge] and [Judge] return an error
// only where nothing could be judged; what is wrong with a plan or an answer is
// in their result.
//
// # What a passing corpus does not show
//
// That a figure of a food is right: the foods of the cases are made up. That a
// limit is right: a case and its rule share one citation, save in the worked
// examples, where the expected figure was printed by somebody else. That a week
// suits the animal in front of you.
package corpus
