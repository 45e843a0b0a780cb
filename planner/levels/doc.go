// Package levels learns four quantities of a piece from pieces that were made
// before, by levels: the weaver, a kind of yarn, a yarn, a cloth. It knows nothing of
// weaving; package learn says what the four are. It is pure: no clock, no randomness.
//
// # The model
//
// The quantities are logarithms. Those of a piece are θ = m + D·z, with m the
// handbook's means and D its standard deviations for that piece, and z without unit,
// the sum of what each level adds:
//
//	z = weaver + kind + yarn + cloth + scatter
//	level ~ N(0, τ²·share·I)    shares 0.2, 0.2, 0.4, 0.2
//	scatter ~ N(0, κ²·ρ²·I)     ρ = 0.5
//
// so that "this weaver beats hard" carries over from one handbook row to another in
// proportion. τ says how much the yarns of a weaver differ beside the handbook's
// spread, ln τ ~ N(−0.45², 0.45²), by which E τ² = 1; κ how much one piece differs from
// the next, ln κ ~ N(0, 0.5²): a careful weaver has a small one. Both are learned.
//
// A reading is a sum of the quantities with an error, y = h'θ + error; readings of one
// piece may share errors. Whatever was measured is so much information on z, in closed
// form, for every κ. Messages go up the tree and down again (Gaussian belief
// propagation, exact on a tree); τ and κ are summed over a grid. So any subset of
// readings teaches what it can: where only a sum was read the parts stay
// anticorrelated, and each level is drawn towards the one above by how little it has
// seen. Nothing is cut off at zero.
//
// The forecast is a mixture of normals, one for each point of the grid, with heavier
// tails than one normal where little is known: it stands for Student's t.
//
// # Literature
//
// Partial pooling and priors on the spread of groups: Gelman, Prior distributions for
// variance parameters in hierarchical models, Bayesian Analysis 1 (2006) 515–534, which
// warns of inverse-gamma priors that pretend to say nothing; with three or four groups
// the prior of τ decides. The normal with unknown variance: Murphy, Conjugate Bayesian
// analysis of the Gaussian distribution (2007); the scale of its forecast is the root of
// β(1+1/λ)/α, which one widely read page forgets. Uncertainties: JCGM 100:2008 and
// 101:2008. ρ, the shares and both priors: invention, tried in simulation only.
package levels
