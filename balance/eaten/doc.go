// Package eaten judges what was eaten over some days, from a feeding log, by the
// rules and targets of package balance, and says what next week makes up for.
//
// What was eaten is mostly known within a range: what nobody weighed may be left,
// what nobody searched for may be hidden, and at a shared bowl each animal may have
// eaten all that nobody saw another eat. So a [Finding] gives one verdict more than
// one of package balance, over all that may have been eaten, and says why it is open
// where it is.
//
// The Examples audit a log, and make next week's plan from one: what [Report.Extra]
// says goes into plan.Request.Extra.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
package eaten
