package main

// Run is the program, for the tests that know of it only what people do.
var Run = run
