package chance

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// long says whether the long runs are asked for.
func long() bool { return os.Getenv("ENDSMEET_LONG") == "1" }

func probability(t testing.TB, p Problem) float64 {
	t.Helper()
	a, err := Fits(p)
	if err != nil {
		t.Fatal(err)
	}
	return a.Probability
}

// TestAgreesWithTenMillionDraws holds every path against simulation. Four standard
// errors of the simulation are allowed: 6.3e-4 at most with ten million draws.
func TestAgreesWithTenMillionDraws(t *testing.T) {
	draws, every := 1_000_000, 3
	if long() {
		draws, every = 10_000_000, 1
	}
	cases := 0
	for n, in := range instances() {
		if n%every != 0 {
			continue
		}
		cases++
		t.Run(in.name, func(t *testing.T) {
			got, want := probability(t, in.p), simulate(in.p, draws, uint64(n+1))
			allowed := 4*math.Sqrt(want*(1-want)/float64(draws)) + 1e-6
			if math.Abs(got-want) > allowed {
				t.Errorf("computed %.5f, simulated %.5f: differs by more than %.1e", got, want, allowed)
			}
			t.Logf("computed %.6f, simulated %.6f, difference %+.1e (se %.1e)", got, want, got-want, allowed/4)
		})
	}
	if cases == 0 {
		t.Fatal("no instance was tried")
	}
}

// TestQuadratureErrorIsBelowTenToTheMinusFour compares the working tolerance with
// one a thousand times finer.
func TestQuadratureErrorIsBelowTenToTheMinusFour(t *testing.T) {
	cases := 0
	for _, in := range instances() {
		if in.name == "two mixed colours, one weft" && !long() {
			continue // a minute at the fine tolerance
		}
		cases++
		fine := newModel(&in.p)
		fine.tol = tolerance / 1000
		if got, want := newModel(&in.p).probability(), fine.probability(); math.Abs(got-want) > 1e-5 {
			t.Errorf("%s: %.7f at the working tolerance, %.7f at the fine one", in.name, got, want)
		}
	}
	if cases < 10 {
		t.Fatalf("only %d instances", cases)
	}
}

func TestOneConeIsTheNormalTail(t *testing.T) {
	p := Problem{WarpEnd: 2350, Warp: []WarpPool{{[]int{0}, 120}},
		Packages: []Package{{Length: 288000, Own: 900, Shared: []Loading{{Factor: "count", Relative: 0.03}}}}}
	sd := math.Hypot(900, 0.03*288000)
	want := distuv.Normal{Mu: 288000, Sigma: sd}.Survival(120 * 2350)
	if got := probability(t, p); math.Abs(got-want) > 1e-9 {
		t.Errorf("got %.10f, normal survival function gives %.10f", got, want)
	}
}

func TestLikeIndependentBallsAreBinomial(t *testing.T) {
	const n, length, own, end = 60, 4800.0, 150.0, 2450.0
	p := Problem{WarpEnd: end, Warp: []WarpPool{{seq(0, n), 78}}}
	for range n {
		p.Packages = append(p.Packages, Package{Length: length, Own: own})
	}
	two := distuv.Normal{Mu: length, Sigma: own}.Survival(2 * end)
	want := distuv.Binomial{N: n, P: two}.Survival(78 - n - 1) // one end each is certain
	if got := probability(t, p); math.Abs(got-want) > 1e-9 {
		t.Errorf("got %.10f, the binomial gives %.10f", got, want)
	}
}

func TestWeftOnlyIsTheNormalTail(t *testing.T) {
	p := Problem{Weft: []WeftPool{{[]int{0, 1}, 255000}}}
	shared := []Loading{{Factor: "count", Relative: 0.05}}
	p.Packages = []Package{{Length: 130000, Own: 3000, Shared: shared}, {Length: 140000, Own: 2000, Shared: shared}}
	sd := math.Sqrt(3000*3000 + 2000*2000 + 13500*13500)
	want := distuv.Normal{Mu: 270000, Sigma: sd}.Survival(255000)
	if got := probability(t, p); math.Abs(got-want) > 1e-9 {
		t.Errorf("got %.10f, normal survival function gives %.10f", got, want)
	}
}

func TestWithoutUncertaintyTheAnswerIsYesOrNo(t *testing.T) {
	p := Problem{WarpEnd: 2400, Packages: balls(3, 7200, 0), Warp: []WarpPool{{seq(0, 3), 9}}}
	if got := probability(t, p); got != 1 {
		t.Errorf("three ends from each of three packages: probability %g, want 1", got)
	}
	p.Warp[0].Ends = 10
	if got := probability(t, p); got != 0 {
		t.Errorf("ten ends: probability %g, want 0", got)
	}
}

func TestGaussKronrodIsExactForPolynomials(t *testing.T) {
	for degree := 0; degree <= 22; degree += 2 {
		k, g := 0.0, 0.0
		nodes(-1, 1, func(z, wk, wg float64) {
			k += wk / density(z) * math.Pow(z, float64(degree))
			g += wg / density(z) * math.Pow(z, float64(degree))
		})
		want := 2 / float64(degree+1)
		if math.Abs(k-want) > 1e-13 {
			t.Errorf("Kronrod: ∫ z^%d = %.15f, want %.15f", degree, k, want)
		}
		if degree <= 12 && math.Abs(g-want) > 1e-13 {
			t.Errorf("Gauss: ∫ z^%d = %.15f, want %.15f", degree, g, want)
		}
	}
}

// TestMomentsStayCloseToTheGrid measures the normal treatment where it takes over.
func TestMomentsStayCloseToTheGrid(t *testing.T) {
	cases := 0
	for _, n := range []int{12, 16} {
		r := rand.New(rand.NewPCG(5, uint64(n)))
		for range 12 {
			p := unequal(n, r)
			m := newModel(&p)
			grid, moments := m.jointOnGrid(&m.blocks[0]), m.jointByMoments(&m.blocks[0])
			if grid < 0.01 || grid > 0.99 {
				continue
			}
			cases++
			if math.Abs(grid-moments) > 1e-3 {
				t.Errorf("%d packages: %.5f by moments, %.5f on the grid", n, moments, grid)
			}
		}
	}
	if cases < 5 {
		t.Fatalf("only %d cases that are open", cases)
	}
}

// TestGridAgreesWithDraws holds few packages with very unequal errors against simulation.
func TestGridAgreesWithDraws(t *testing.T) {
	draws := 200_000
	if long() {
		draws = 10_000_000
	}
	cases := 0
	for n := 1; n <= 5; n++ {
		r := rand.New(rand.NewPCG(7, uint64(n)))
		for range 6 {
			p := unequal(n, r)
			got, want := probability(t, p), simulate(p, draws, 3)
			if want < 0.01 || want > 0.99 {
				continue
			}
			cases++
			if allowed := 4 * math.Sqrt(want*(1-want)/float64(draws)); math.Abs(got-want) > allowed {
				t.Errorf("%d packages: computed %.5f, simulated %.5f ± %.1e", n, got, want, allowed)
			}
		}
	}
	if cases < 8 {
		t.Fatalf("only %d cases that are open", cases)
	}
}

// unequal draws n packages for warp and a little weft, with own errors from 30 mm to 2 m.
func unequal(n int, r *rand.Rand) Problem {
	p := Problem{WarpEnd: 2400}
	ends := 0
	for range n {
		k := Package{Length: 7000 + r.Float64()*20000, Own: math.Exp(math.Log(30) + r.Float64()*4.2)}
		ends += int(k.Length / p.WarpEnd)
		p.Packages = append(p.Packages, k)
	}
	p.Warp = []WarpPool{{seq(0, n), ends - r.IntN(2)}}
	p.Weft = []WeftPool{{seq(0, n), r.Float64() * float64(n) * 2400}}
	return p
}

func TestThreeErrorsOfTwoYarnsBecomeTwoOfTheSameCovariance(t *testing.T) {
	a := &factor{load: map[int]float64{0: 3, 1: 6}, at: []int{0, 1}}
	b := &factor{load: map[int]float64{2: 5, 3: 10}, at: []int{2, 3}}
	both := &factor{load: map[int]float64{0: 1, 1: 2, 2: 2, 3: 4}, at: []int{0, 1, 2, 3}}
	fs := []*factor{a, b, both}
	got := reduced(fs)
	if len(got) != 2 {
		t.Fatalf("%d errors, want 2", len(got))
	}
	for i := range 4 {
		for j := range 4 {
			if x, y := covariance(got, i, j), covariance(fs, i, j); math.Abs(x-y) > 1e-9 {
				t.Errorf("covariance of %d and %d is %g, was %g", i, j, x, y)
			}
		}
	}
	both.load[1] = 7 // now no two errors do
	if got := reduced(fs); len(got) != 3 {
		t.Errorf("%d errors, want all three", len(got))
	}
}
