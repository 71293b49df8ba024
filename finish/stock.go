package finish

import (
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// StockLine is one line of the shelf in a list.
type StockLine struct {
	Code     string   `json:"code"`
	Name     string   `json:"name"`
	Kind     string   `json:"kind"`
	Medium   string   `json:"medium"`
	Swatch   *Swatch  `json:"colour"` // null where not known
	Words    string   `json:"words"`
	Basis    string   `json:"basis"`
	OnHand   string   `json:"on_hand"` // left for new work; "not counted" where nobody counted
	Reserved string   `json:"reserved"`
	Pack     string   `json:"pack"`
	Price    *float64 `json:"price"`
	Expires  string   `json:"expires"`
	Expired  bool     `json:"expired"`
	Note     string   `json:"note"`
}

// StockFilter narrows a list of the shelf; its zero value shows all.
type StockFilter struct {
	Text  string // in code, name, medium or note
	Kinds []string
	Near  string // a colour: nearest first
	Top   int    // 0 shows all
}

// Stock lists the shelf: by code, or nearest to a colour first.
func (b *Bench) Stock(ctx context.Context, f StockFilter) ([]StockLine, error) {
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return nil, err
	}
	articles := stock.Articles()
	if f.Near != "" {
		c, err := b.Colour(ctx, f.Near)
		if err != nil {
			return nil, err
		}
		articles = nil
		for _, n := range stock.Nearest(c.Lab(), stock.Len()) {
			articles = append(articles, n.Article)
		}
	}
	lines := []StockLine{}
	for _, a := range articles {
		if f.Top > 0 && len(lines) == f.Top {
			break
		}
		if f.shows(a) {
			lines = append(lines, stockLine(a, b.now()))
		}
	}
	return lines, nil
}

func (f StockFilter) shows(a inventory.Article) bool {
	if len(f.Kinds) > 0 && !slices.Contains(f.Kinds, string(a.Kind)) {
		return false
	}
	words := strings.ToLower(strings.Join([]string{a.Code, a.Name, a.Medium, a.Note}, " "))
	return strings.Contains(words, strings.ToLower(f.Text))
}

func stockLine(a inventory.Article, now time.Time) StockLine {
	l := StockLine{Code: a.Code, Name: a.Name, Kind: string(a.Kind), Medium: a.Medium, Note: a.Note, OnHand: "not counted", Expired: a.Expired(now)}
	if c, ok := a.Colour.Get(); ok {
		sw := swatch(c.Lab())
		l.Swatch, l.Words, l.Basis = &sw, colour.Name(c.Lab()), c.Basis().String()
	}
	if q, ok := a.OnHand.Get(); ok {
		l.OnHand = q.String()
	}
	if a.Reserved.Amount > 0 {
		l.Reserved = a.Reserved.String()
	}
	if q, ok := a.Pack.Get(); ok {
		l.Pack = q.String()
	}
	if p, ok := a.Price.Get(); ok {
		v := money(p)
		l.Price = &v
	}
	if d, ok := a.Expires.Get(); ok {
		l.Expires = unit.FormatDate(d)
	}
	return l
}

// StockShow is one line in full: what its table says, and how its amount came
// about.
type StockShow struct {
	StockLine
	Columns   map[string]string `json:"columns"`
	Movements []MovementLine    `json:"movements"`
	Measures  int               `json:"measures"`
}

// MovementLine is one movement of a stock line.
type MovementLine struct {
	At     string  `json:"at"`
	What   string  `json:"what"`
	Amount float64 `json:"amount"`
	Unit   string  `json:"unit"`
	OnHand float64 `json:"on_hand"`
	Job    string  `json:"job"`
	Step   string  `json:"step"`
	Note   string  `json:"note"`
}

// StockItem shows one line of the shelf, with every movement of its amount.
func (b *Bench) StockItem(ctx context.Context, code string) (StockShow, error) {
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return StockShow{}, err
	}
	a, err := scene{stock: stock}.article(code)
	if err != nil {
		return StockShow{}, err
	}
	line, err := b.file.Line(ctx, a.Code)
	if err != nil {
		return StockShow{}, err
	}
	show := StockShow{StockLine: stockLine(a, b.now()), Columns: inventory.StockColumns(line.StockFact), Movements: []MovementLine{}, Measures: len(a.Measures)}
	moves, err := b.file.Movements(ctx, a.Code)
	if err != nil {
		return StockShow{}, err
	}
	for _, m := range moves {
		show.Movements = append(show.Movements, MovementLine{
			At: m.At.Format(time.RFC3339), What: string(m.What), Amount: m.Amount, Unit: m.Unit, OnHand: m.OnHand, Job: m.Job, Step: m.Step, Note: m.Note,
		})
	}
	return show, nil
}

// AddStock puts a new line on the shelf. The columns are those of stock.csv,
// as a maker writes them; a bad one is named with what was expected.
func (b *Bench) AddStock(ctx context.Context, columns map[string]string) error {
	fact, err := inventory.ParseStockColumns(columns)
	if err != nil {
		return err
	}
	return b.file.Add(ctx, fact)
}

// ImportStock reads stock.csv, and measures.csv where it is there, from a
// folder, all or nothing.
func (b *Bench) ImportStock(ctx context.Context, folder fs.FS) (inventory.Report, error) {
	return b.file.ImportStock(ctx, folder)
}

// ExportStock writes stock.csv and measures.csv into a folder.
func (b *Bench) ExportStock(ctx context.Context, folder string) error {
	return b.file.ExportStock(ctx, folder)
}

// MoveStock records a movement: verb is "count", "use", "buy" or "throw away".
func (b *Bench) MoveStock(ctx context.Context, verb, code, amount, note string) error {
	q, err := unit.ParseQuantity(amount)
	if err != nil {
		return fmt.Errorf("%s %s: %w", verb, code, err)
	}
	why := inventory.Because{Job: b.job, Note: note}
	switch verb {
	case "count":
		return b.file.Count(ctx, code, q, why)
	case "use":
		return b.file.Use(ctx, code, q, why)
	case "buy":
		return b.file.Buy(ctx, code, q, why)
	case "throw away", "discard":
		return b.file.ThrowAway(ctx, code, q, why)
	}
	return fmt.Errorf("%s %s: expected count, use, buy or throw away", verb, code)
}

// Colour reads a colour as a maker writes it: #rrggbb, "lab(L a b)", or the
// code of a stock line whose colour is known.
func (b *Bench) Colour(ctx context.Context, text string) (colour.Colour, error) {
	c, err := colour.Parse(text)
	if err == nil {
		return c, nil
	}
	stock, serr := b.file.Stock(ctx)
	if serr != nil {
		return colour.Colour{}, serr
	}
	a, ok := stock.Article(text)
	if !ok {
		return colour.Colour{}, fmt.Errorf("read colour: %q: expected #rrggbb, lab(L a b) or a stock code", text)
	}
	if c, ok := a.Colour.Get(); ok {
		return c, nil
	}
	return colour.Colour{}, fmt.Errorf("read colour: %s: its colour is not known", text)
}
