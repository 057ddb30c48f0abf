// Package prey holds what is fed: foods with their parts, nutrients and energy,
// and the exact sums of a mixture of foods.
package prey
