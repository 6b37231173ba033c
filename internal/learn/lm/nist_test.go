package lm

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// strd is a data set of NIST's Statistical Reference Datasets; see
// testdata/README.md.
type strd struct {
	name, level       string
	starts            [2][]float64
	certified, stddev []float64
	rss               float64
	y, x, x2          []float64
}

// model is a set's model: y at x (and x2) for the parameters b.
type model func(b []float64, x, x2 float64) float64

// The models are printed in the sets' own files.
var models = map[string]model{
	"Misra1a":  func(b []float64, x, _ float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Misra1b":  func(b []float64, x, _ float64) float64 { return b[0] * (1 - math.Pow(1+b[1]*x/2, -2)) },
	"Misra1c":  func(b []float64, x, _ float64) float64 { return b[0] * (1 - math.Pow(1+2*b[1]*x, -0.5)) },
	"Misra1d":  func(b []float64, x, _ float64) float64 { return b[0] * b[1] * x / (1 + b[1]*x) },
	"Chwirut1": chwirut, "Chwirut2": chwirut,
	"Lanczos1": lanczos, "Lanczos2": lanczos, "Lanczos3": lanczos,
	"Gauss1": gauss, "Gauss2": gauss, "Gauss3": gauss,
	"DanWood": func(b []float64, x, _ float64) float64 { return b[0] * math.Pow(x, b[1]) },
	"Kirby2": func(b []float64, x, _ float64) float64 {
		return (b[0] + x*(b[1]+x*b[2])) / (1 + x*(b[3]+x*b[4]))
	},
	"Hahn1": cubic, "Thurber": cubic,
	"Nelson": func(b []float64, x, x2 float64) float64 { return b[0] - b[1]*x*math.Exp(-b[2]*x2) },
	"MGH17": func(b []float64, x, _ float64) float64 {
		return b[0] + b[1]*math.Exp(-x*b[3]) + b[2]*math.Exp(-x*b[4])
	},
	"Roszman1": func(b []float64, x, _ float64) float64 {
		return b[0] - b[1]*x - math.Atan(b[2]/(x-b[3]))/math.Pi
	},
	"ENSO": func(b []float64, x, _ float64) float64 {
		wave := func(period, c, s float64) float64 {
			a := 2 * math.Pi * x / period
			return c*math.Cos(a) + s*math.Sin(a)
		}
		return b[0] + wave(12, b[1], b[2]) + wave(b[3], b[4], b[5]) + wave(b[6], b[7], b[8])
	},
	"MGH09":  func(b []float64, x, _ float64) float64 { return b[0] * (x*x + x*b[1]) / (x*x + x*b[2] + b[3]) },
	"MGH10":  func(b []float64, x, _ float64) float64 { return b[0] * math.Exp(b[1]/(x+b[2])) },
	"BoxBOD": func(b []float64, x, _ float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Rat42":  func(b []float64, x, _ float64) float64 { return b[0] / (1 + math.Exp(b[1]-b[2]*x)) },
	"Rat43": func(b []float64, x, _ float64) float64 {
		return b[0] / math.Pow(1+math.Exp(b[1]-b[2]*x), 1/b[3])
	},
	"Eckerle4": func(b []float64, x, _ float64) float64 {
		return b[0] / b[1] * math.Exp(-0.5*square((x-b[2])/b[1]))
	},
	"Bennett5": func(b []float64, x, _ float64) float64 { return b[0] * math.Pow(b[1]+x, -1/b[2]) },
}

func chwirut(b []float64, x, _ float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) }

func lanczos(b []float64, x, _ float64) float64 {
	return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-b[3]*x) + b[4]*math.Exp(-b[5]*x)
}

func gauss(b []float64, x, _ float64) float64 {
	return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-square((x-b[3])/b[4])) + b[5]*math.Exp(-square((x-b[6])/b[7]))
}

func cubic(b []float64, x, _ float64) float64 {
	return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
}

// problem is the set's least-squares problem, with differences for slopes.
func (s *strd) problem() Problem {
	m := models[s.name]
	return Problem{N: len(s.y), Residuals: func(r, b []float64) {
		for i := range r {
			x2, y := 0.0, s.y[i]
			if s.x2 != nil {
				x2, y = s.x2[i], math.Log(y) // Nelson's model is of log y
			}
			r[i] = y - m(b, s.x[i], x2)
		}
	}}
}

func readSets(t testing.TB) []*strd {
	t.Helper()
	files, err := filepath.Glob("testdata/*.txt")
	must.Need(t, err == nil && len(files) == 27, "want the 27 sets, have %d, %v", len(files), err)
	sets := make([]*strd, 0, len(files))
	for _, file := range files {
		s := must.Get(readSet(file))(t)
		sets = append(sets, s)
	}
	return sets
}

func readSet(file string) (*strd, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	s := &strd{}
	var rss []float64
	lists := map[string]*[]float64{
		"start1": &s.starts[0], "start2": &s.starts[1], "certified": &s.certified,
		"stddev": &s.stddev, "rss": &rss, "y": &s.y, "x": &s.x, "x2": &s.x2,
	}
	lines := bufio.NewScanner(strings.NewReader(string(data)))
	for lines.Scan() {
		words := strings.Fields(lines.Text())
		switch {
		case words[0] == "#":
		case words[0] == "name":
			s.name = words[1]
		case words[0] == "level":
			s.level = words[1]
		case lists[words[0]] == nil:
			return nil, fmt.Errorf("%s: keyword %q", file, words[0])
		default:
			for _, w := range words[1:] {
				v, err := strconv.ParseFloat(w, 64)
				if err != nil {
					return nil, fmt.Errorf("%s: %w", file, err)
				}
				*lists[words[0]] = append(*lists[words[0]], v)
			}
		}
	}
	n := len(s.certified)
	if len(rss) != 1 || len(s.stddev) != n || len(s.starts[0]) != n || len(s.starts[1]) != n || len(s.x) != len(s.y) {
		return nil, fmt.Errorf("%s: lists of unlike length", file)
	}
	s.rss = rss[0]
	return s, lines.Err()
}

// TestData proves that the sets were copied right: the certified parameters
// give the certified sum of squares.
func TestData(t *testing.T) {
	for _, s := range readSets(t) {
		p := s.problem()
		r := make([]float64, p.N)
		p.Residuals(r, s.certified)
		sse := 0.0
		for _, v := range r {
			sse += v * v
		}
		if s.name == "Lanczos1" {
			must.Be(t, sse <= 1e-20, "%s: sum of squares %g", s.name, sse) // ten digits of parameters leave 1e-10 squared
			continue
		}
		off := math.Abs(sse/s.rss - 1)
		must.Be(t, off <= 5e-10, "%s: sum of squares %.11g, certified %.11g", s.name, sse, s.rss)
	}
}

// worst is the greatest relative error of got against want.
func worst(got, want []float64) float64 {
	w := 0.0
	for i := range want {
		e := math.Abs(got[i]/want[i] - 1)
		if math.IsNaN(e) {
			return math.Inf(1)
		}
		w = math.Max(w, e)
	}
	return w
}

// TestNIST proves the fitter against certified values: all 27 StRD sets, from
// both starts, with central differences. Parameters to six digits, sums of
// squares to nine, standard deviations to four.
func TestNIST(t *testing.T) {
	for _, s := range readSets(t) {
		for k, start := range s.starts {
			t.Run(fmt.Sprintf("%s/%d", s.name, k+1), func(t *testing.T) {
				res := must.Get(Fit(s.problem(), start, Settings{}))(t)
				x, sd := worst(res.X, s.certified), worst(res.StdErr, s.stddev)
				t.Logf("%s %s: X %.1e sd %.1e, %d steps, %d evaluations, %v", s.level, s.name, x, sd, res.Iterations, res.Evaluations, res.Why)
				must.Be(t, res.Converged() && res.Rank == len(start) && len(res.Confounded) == 0,
					"ended with %v, rank %d, confounded %v", res.Why, res.Rank, res.Confounded)
				must.Be(t, x <= 5e-7, "parameters %v, certified %v", res.X, s.certified)
				must.Be(t, sd <= 5e-5 || s.name == "Lanczos1", "standard deviations %v, certified %v", res.StdErr, s.stddev)
				off := math.Abs(res.SSE/s.rss - 1)
				must.Be(t, off <= 5e-10 || s.name == "Lanczos1", "sum of squares %.11g, certified %.11g", res.SSE, s.rss)
			})
		}
	}
}
