package chance

// Pool lists the packages of a demand, counted among the warp pools and then the weft pools.
func (p *Problem) Pool(demand int) []int {
	if demand < len(p.Warp) {
		return p.Warp[demand].Packages
	}
	return p.Weft[demand-len(p.Warp)].Packages
}

// UnitLength is the yarn of one winding unit in millimetres.
func (p *Problem) UnitLength() float64 { return p.WarpEnd.Length * float64(p.unit()) }

// Wanted is the yarn that a demand asks for, in millimetres.
func (p *Problem) Wanted(demand int) float64 {
	if demand < len(p.Warp) {
		return p.WarpEnd.Length * float64(p.Warp[demand].Ends)
	}
	return p.Weft[demand-len(p.Warp)].Need.Length
}

// With is p with one more package of length mm for a demand, of the yarn of its first
// one: it errs as that does where the error is a share of the length, and has no other.
func (p Problem) With(demand int, length float64) Problem {
	like := p.Packages[p.Pool(demand)[0]]
	more := Package{ID: "more", Length: length}
	for _, l := range like.Shared {
		more.Shared = append(more.Shared, Loading{Factor: l.Factor, Relative: l.Relative})
	}
	at := len(p.Packages)
	p.Packages = append(p.Packages[:at:at], more)
	p.Warp, p.Weft = append([]WarpPool(nil), p.Warp...), append([]WeftPool(nil), p.Weft...)
	if demand < len(p.Warp) {
		pool := &p.Warp[demand].Packages
		*pool = append((*pool)[:len(*pool):len(*pool)], at)
	} else {
		pool := &p.Weft[demand-len(p.Warp)].Packages
		*pool = append((*pool)[:len(*pool):len(*pool)], at)
	}
	return p
}
