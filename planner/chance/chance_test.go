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
	return answered(t, p).Probability
}

func answered(t testing.TB, p Problem) Answer {
	t.Helper()
	a, err := Fits(p)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestAgreesWithDraws holds every path against simulation: within the bound that is
// stated, and four standard errors of the simulation.
func TestAgreesWithDraws(t *testing.T) {
	draws := 60_000
	if long() {
		draws = 10_000_000
	}
	cases := 0
	for n, in := range instances() {
		cases++
		t.Run(in.name, func(t *testing.T) {
			a, want := answered(t, in.p), simulate(in.p, draws, uint64(n+1))
			got := a.Probability
			allowed := 4*math.Sqrt(want*(1-want)/float64(draws)) + a.Bound + 1e-6
			if math.Abs(got-want) > allowed || a.Bound > 0.005 {
				t.Errorf("computed %.5f ± %.5f, simulated %.5f: differs by more than %.1e", got,
					a.Bound, want, allowed)
			}
			t.Logf("computed %.6f ± %.6f, simulated %.6f, difference %+.1e", got, a.Bound, want,
				got-want)
		})
	}
	if cases == 0 {
		t.Fatal("no instance was tried")
	}
}

func TestOneConeIsTheNormalTail(t *testing.T) {
	p := Problem{WarpEnd: Need{Length: 2350}, Warp: []WarpPool{{[]int{0}, 120}},
		Packages: []Package{{Length: 288000, Own: 900,
			Shared: []Loading{{Factor: "count", Relative: 0.03}}}}}
	sd := math.Hypot(900, 0.03*288000)
	want := distuv.Normal{Mu: 288000, Sigma: sd}.Survival(120 * 2350)
	if got := probability(t, p); math.Abs(got-want) > 1e-6 {
		t.Errorf("got %.10f, normal survival function gives %.10f", got, want)
	}
}

func TestLikeIndependentBallsAreBinomial(t *testing.T) {
	const n, length, own, end = 60, 4800.0, 150.0, 2450.0
	p := Problem{WarpEnd: Need{Length: end}, Warp: []WarpPool{{seq(0, n), 78}}}
	for range n {
		p.Packages = append(p.Packages, Package{Length: length, Own: own})
	}
	two := distuv.Normal{Mu: length, Sigma: own}.Survival(2 * end)
	want := distuv.Binomial{N: n, P: two}.Survival(78 - n - 1) // one end each is certain
	if got := probability(t, p); math.Abs(got-want) > 1e-4 {
		t.Errorf("got %.10f, the binomial gives %.10f", got, want)
	}
}

func TestWeftOnlyIsTheNormalTail(t *testing.T) {
	p := Problem{Weft: []WeftPool{{[]int{0, 1}, Need{Length: 255000}}}}
	shared := []Loading{{Factor: "count", Relative: 0.05}}
	p.Packages = []Package{{Length: 130000, Own: 3000, Shared: shared},
		{Length: 140000, Own: 2000, Shared: shared}}
	sd := math.Sqrt(3000*3000 + 2000*2000 + 13500*13500)
	want := distuv.Normal{Mu: 270000, Sigma: sd}.Survival(255000)
	if got := probability(t, p); math.Abs(got-want) > 1e-4 {
		t.Errorf("got %.10f, normal survival function gives %.10f", got, want)
	}
}

func TestWithoutUncertaintyTheAnswerIsYesOrNo(t *testing.T) {
	p := Problem{WarpEnd: Need{Length: 2400}, Packages: balls(3, 7200, 0),
		Warp: []WarpPool{{seq(0, 3), 9}}}
	if got := probability(t, p); got != 1 {
		t.Errorf("three ends from each of three packages: probability %g, want 1", got)
	}
	p.Warp[0].Ends = 10
	if got := probability(t, p); got != 0 {
		t.Errorf("ten ends: probability %g, want 0", got)
	}
}

// TestUnequalPackagesAgreeWithDraws holds few packages with very unequal errors against simulation.
func TestUnequalPackagesAgreeWithDraws(t *testing.T) {
	draws := 200_000
	if long() {
		draws = 10_000_000
	}
	cases := 0
	for n := 1; n <= 5; n++ {
		r := rand.New(rand.NewPCG(7, uint64(n)))
		for range 6 {
			p := unequal(n, r)
			a, want := answered(t, p), simulate(p, draws, 3)
			if want < 0.01 || want > 0.99 {
				continue
			}
			cases++
			if allowed := 4*math.Sqrt(want*(1-want)/float64(draws)) +
				a.Bound; math.Abs(a.Probability-want) > allowed {
				t.Errorf("%d packages: computed %.5f, simulated %.5f ± %.1e", n, a.Probability,
					want, allowed)
			}
		}
	}
	if cases < 8 {
		t.Fatalf("only %d cases that are open", cases)
	}
}

// unequal draws n packages for warp and a little weft, with own errors from 30 mm to 2 m.
func unequal(n int, r *rand.Rand) Problem {
	p := Problem{WarpEnd: Need{Length: 2400}}
	ends := 0
	for range n {
		k := Package{Length: 7000 + r.Float64()*20000,
			Own: math.Exp(math.Log(30) + r.Float64()*4.2)}
		ends += int(k.Length / p.WarpEnd.Length)
		p.Packages = append(p.Packages, k)
	}
	p.Warp = []WarpPool{{seq(0, n), ends - r.IntN(2)}}
	p.Weft = []WeftPool{{seq(0, n), Need{Length: r.Float64() * float64(n) * 2400}}}
	return p
}
