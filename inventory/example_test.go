package inventory_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"testing/fstest"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

func ExampleOpen() {
	dir, err := os.MkdirTemp("", "workroom")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	file, err := inventory.Open(ctx, filepath.Join(dir, "room.undercoat"), time.Now)
	if err != nil {
		log.Fatal(err)
	}
	defer file.Close()

	folder := fstest.MapFS{"stock.csv": {Data: []byte("code,name,kind,colour,on_hand,unit,pack,price\nW1,Chalk white,paint,#f4f3ef,120,ml,150,7.50\n")}}
	if _, err := file.ImportStock(ctx, folder); err != nil {
		log.Fatal(err)
	}
	if err := file.Use(ctx, "W1", unit.Quantity{Amount: 30, Unit: "ml"}, inventory.Because{Note: "swatches"}); err != nil {
		log.Fatal(err)
	}
	stock, err := file.Stock(ctx)
	if err != nil {
		log.Fatal(err)
	}
	white, _ := stock.Paint("W1")
	fmt.Println(white.Name, white.OnHand, "left")
	moves, err := file.Movements(ctx, "W1")
	if err != nil {
		log.Fatal(err)
	}
	for _, m := range moves {
		fmt.Printf("%s %+g %s, then %g\n", m.What, m.Amount, m.Unit, m.OnHand)
	}

	// A table with bad cells names them all and changes nothing.
	folder = fstest.MapFS{"stock.csv": {Data: []byte("code,name,kind,on_hand,unit\nW1,Chalk white,paint,plenty,ml\n")}}
	_, err = file.ImportStock(ctx, folder)
	fmt.Println(err)
	// Output:
	// Chalk white 90 ml left
	// counted +120 ml, then 120
	// used -30 ml, then 90
	// import stock: 1 bad cell: stock.csv row 2 column on_hand: found "plenty", expected a number of 0 or more
}
