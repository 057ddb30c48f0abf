// Package safety says what time, temperature and origin do to food for
// ferrets: how long it may lie out, what grows meanwhile, what speaks against
// a food, and what a sheet must warn of.
package safety
