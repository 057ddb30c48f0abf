// Package milp solves small mixed-integer linear programs in float64: minimise
// a linear cost over columns that each have a finite box, subject to rows that
// bound linear sums of them, where some columns must take whole values.
//
// # It proposes, it never decides
//
// Everything here is floating point. A simplex on floats can call a feasible
// program infeasible, and a plan that sits on a limit can fall on its wrong
// side by a rounding error. The package therefore only proposes: whoever uses
// it rounds the proposal to whole grams, checks it with exact integers, and
// believes the exact check alone. "Infeasible" is likewise a proposal and is
// to be reported as "none was found", or backed by exact arithmetic.
//
// # What it promises
//
//   - Deterministic: the same problem and limits give the same answer, bit for
//     bit, on the same platform. Ties go to the lowest index. Nothing is random.
//     An answer cut short by a context depends on the clock.
//   - Bounded: nodes and pivots are limited; the context is looked at between
//     pivots, so that a cancelled solve returns within about a millisecond at
//     the sizes named below.
//   - Every point that is returned has been checked against the rows as they
//     were given, not as presolve or scaling left them: whole columns are
//     exactly whole, boxes hold exactly, and a row is missed by at most 1e-7
//     times the largest of 1, its limit, and the largest term of its sum.
//   - Every subtree that is cut off has been cut by a certificate, a
//     combination of the rows recomputed from the problem's own coefficients,
//     not from the updated tableau. Where it does not hold up, the tableau is
//     rebuilt from the problem and the subtree is solved again. A subtree that
//     stays undecided turns Optimal into Feasible and Infeasible into Unknown.
//   - No panic, no goroutine, no state outside the call; safe for concurrent
//     use as long as the Reject hook is.
//
// # Units and sizes
//
// Numbers are bare: the caller chooses grams and cents. Bounds, costs and
// coefficients are refused beyond 1e12 in magnitude. The tableau is dense; about
// 300 columns by 300 rows is what it is made for. A week of 60 foods as a
// textbook program (190 columns, 210 rows) takes some 20 ms. A problem of more
// than 4 million cells is refused.
//
// # Errors
//
// Solve returns an error for a malformed problem or limits (InputError), for a
// problem that is too large (ErrTooLarge), and for a context that ended
// (wrapping its cause, beside the best that had been found). It does not return
// an error for an infeasible problem or for a limit that was reached: these are
// a Status.
//
// # What it cannot catch
//
// A row with the wrong sign, a cost in another unit, a column that was meant to
// be whole: the solver finds the cheapest point of whatever it is given.
//
// # Method
//
// Bounded dual simplex on a condensed dense tableau. Every column is boxed and
// every row gets the box that its columns imply, so that each nonbasic variable
// can always be put on the bound its reduced cost asks for: every basis is dual
// feasible, no first phase exists, and a node can start from whatever basis the
// last one left. Leaving rows are priced by dual devex weights; the ratio test
// passes breakpoints by flipping bounds; where steps bring no gain the reduced costs
// are perturbed for a while, and a stall that lasts switches to the lowest index
// rule of Bland. Boxes and coefficients are tightened by the rows; branch and
// bound dives, towards the upper child until a point is known, and then takes the
// open node of the best bound, from its parent's tableau where there was room to
// keep it. Cuts were tried: they close most of the gap at the root, but their dense
// rows cost more than they save. Whole columns are tightened at every
// node by rows and by reduced costs, and chosen for branching by the gains seen
// so far, by one-step penalties, and by trials where nothing was seen yet. Every
// sixteenth node is rounded to a point.
//
// References: Lemke (1954) for the dual simplex method; Forrest and Goldfarb
// (1992) for dual pricing; Bland (1977) for the anti-cycling rule; Savelsbergh
// (1994) for bound and coefficient tightening;
// Driebeek (1966) and Tomlin (1971) for the penalties; Neumaier and Shcherbina (2004)
// for bounds recomputed from the multipliers; Chinneck and Dravnieks (1991) for
// the deletion filter.
package milp
