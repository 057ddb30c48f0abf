// Package figure holds measured figures against their bounds, exactly: a figure is a
// quotient of two sums over foods, at each case, and is compared by multiplying
// crosswise in 192 bits. Nothing is divided or rounded, and nothing is held as a float.
package figure
