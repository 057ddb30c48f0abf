// Package shares holds what somebody aims at: the five slots that a week is divided
// into, what each holds under the two meanings of bone, and targets that ask a share
// of each. Package balance judges by them.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
package shares
