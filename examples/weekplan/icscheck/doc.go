// Package icscheck reads what weekplan writes back with readers that other people
// wrote: calendars with go-ical, Markdown with goldmark, and JSON against the
// program's own schema with jsonschema. It is a module of its own, so that the
// library does not depend on any of them:
//
//	cd examples/weekplan/icscheck && go test ./...
//
// The tests build the program from the folder above.
package icscheck
