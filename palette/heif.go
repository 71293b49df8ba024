package palette

import (
	"encoding/binary"
	"fmt"
)

// heif is what is wanted from the boxes of an HEIF file (HEIC, AVIF): the
// properties of its primary picture.
//
// Source: ISO/IEC 14496-12 (boxes, meta, iloc), ISO/IEC 23008-12 (pitm, iprp,
// ipma, ispe, irot, imir, colr, grid).
type heif struct {
	brands        string // four letters each, the major one first
	width, height int    // as stored, before irot
	quarters      int    // irot: quarter turns anticlockwise, 0…3
	mirror        int    // imir: -1 none, 0 top to bottom, 1 left to right
	icc           []byte // colr of type prof or rICC
	coded         bool   // colr of type nclx was found
	primaries     int    // its colour primaries, as in ITU-T H.273
	transfer      int
	matrix        int
	full          bool // full-range samples
	pictures      int  // pictures at top level that are not hidden
}

// boxes calls do for every whole box of data, until do says stop.
func boxes(data []byte, do func(kind string, body []byte) (more bool)) {
	for len(data) >= 8 {
		size, head := uint64(binary.BigEndian.Uint32(data)), 8
		switch size {
		case 0: // to the end
			size = uint64(len(data))
		case 1:
			if len(data) < 16 {
				return
			}
			size, head = binary.BigEndian.Uint64(data[8:]), 16
		}
		if size < uint64(head) || size > uint64(len(data)) {
			return
		}
		if !do(string(data[4:8]), data[head:size]) {
			return
		}
		data = data[size:]
	}
}

// heifBrands returns the brands of the ftyp box at the start, "" for none.
func heifBrands(data []byte) string {
	if len(data) < 16 || string(data[4:8]) != "ftyp" {
		return ""
	}
	n := int(binary.BigEndian.Uint32(data))
	if n < 16 || n > len(data) || n > 4096 {
		n = 16
	}
	return string(data[8:12]) + string(data[16:n])
}

// hasBrand says whether one of the wanted brands is among those of the file.
func hasBrand(brands string, wanted ...string) bool {
	for i := 0; i+4 <= len(brands); i += 4 {
		for _, w := range wanted {
			if brands[i:i+4] == w {
				return true
			}
		}
	}
	return false
}

// readHEIF reads the boxes.
func readHEIF(data []byte) (heif, error) {
	f := heif{brands: heifBrands(data), mirror: -1}
	var meta []byte
	boxes(data, func(kind string, body []byte) bool {
		if kind == "meta" && len(body) >= 4 {
			meta = body[4:]
		}
		return meta == nil
	})
	if meta == nil {
		return f, fmt.Errorf("%w: no picture description in the container", ErrDamaged)
	}
	var pitm, iprp, iinf, iref []byte
	boxes(meta, func(kind string, body []byte) bool {
		switch kind {
		case "pitm":
			pitm = body
		case "iprp":
			iprp = body
		case "iinf":
			iinf = body
		case "iref":
			iref = body
		}
		return true
	})
	primary, ok := primaryItem(pitm)
	if !ok {
		return f, fmt.Errorf("%w: no primary picture in the container", ErrDamaged)
	}
	f.pictures = visiblePictures(iinf, iref)
	own := properties(iprp, primary)
	f.take(own)
	if f.icc == nil && !f.coded {
		// A picture made of tiles may leave its colour to the tiles.
		for _, tile := range derivedFrom(iref, primary) {
			g := heif{mirror: -1}
			g.take(properties(iprp, tile))
			if g.icc != nil || g.coded {
				f.icc, f.coded, f.primaries, f.transfer, f.matrix, f.full = g.icc, g.coded, g.primaries, g.transfer, g.matrix, g.full
				break
			}
		}
	}
	if f.width < 1 || f.height < 1 {
		return f, fmt.Errorf("%w: no size in the container", ErrDamaged)
	}
	return f, nil
}

// property is one box of ipco.
type property struct {
	kind string
	body []byte
}

// take reads the properties of an item, in their order.
func (f *heif) take(all []property) {
	for _, p := range all {
		b := p.body
		switch {
		case p.kind == "ispe" && len(b) >= 12:
			f.width, f.height = int(binary.BigEndian.Uint32(b[4:])), int(binary.BigEndian.Uint32(b[8:]))
		case p.kind == "irot" && len(b) >= 1:
			f.quarters = int(b[0] & 3)
		case p.kind == "imir" && len(b) >= 1:
			f.mirror = int(b[0] & 1)
		case p.kind == "colr" && len(b) >= 4:
			f.takeColour(string(b[:4]), b[4:])
		}
	}
}

// takeColour reads a colr property: a profile, or code points of ITU-T H.273.
func (f *heif) takeColour(kind string, b []byte) {
	switch {
	case kind == "prof" || kind == "rICC":
		f.icc = b[:min(len(b), maxProfile)]
	case kind == "nclx" && len(b) >= 7:
		f.coded = true
		f.primaries = int(binary.BigEndian.Uint16(b))
		f.transfer = int(binary.BigEndian.Uint16(b[2:]))
		f.matrix = int(binary.BigEndian.Uint16(b[4:]))
		f.full = b[6]&0x80 != 0
	}
}

// turn joins irot and imir, in that order, to one EXIF orientation.
//
// Source: ISO/IEC 23008-12:2022, 6.5.10 (irot: anticlockwise quarter turns) and
// 6.5.12 (imir: axis 0 exchanges top and bottom, 1 left and right).
func (f heif) turn() turn {
	upright := [3][4]turn{
		{1, 8, 3, 6}, // no mirror
		{4, 5, 2, 7}, // then top to bottom
		{2, 7, 4, 5}, // then left to right
	}
	return upright[f.mirror+1][f.quarters]
}

// primaryItem reads pitm.
func primaryItem(b []byte) (int, bool) {
	switch {
	case len(b) >= 6 && b[0] == 0:
		return int(binary.BigEndian.Uint16(b[4:])), true
	case len(b) >= 8 && b[0] == 1:
		return int(binary.BigEndian.Uint32(b[4:])), true
	}
	return 0, false
}

// properties returns the properties of an item: those of ipco that ipma ties to
// it, in the order of ipma.
func properties(iprp []byte, item int) []property {
	var all, own []property
	boxes(iprp, func(kind string, body []byte) bool {
		switch kind {
		case "ipco":
			boxes(body, func(kind string, body []byte) bool {
				all = append(all, property{kind, body})
				return len(all) < 1<<15
			})
		case "ipma":
			for _, i := range associations(body, item) {
				if i >= 1 && i <= len(all) {
					own = append(own, all[i-1])
				}
			}
		}
		return true
	})
	return own
}

// associations returns the property numbers, from 1, that an ipma box gives to
// an item.
func associations(b []byte, item int) []int {
	if len(b) < 8 {
		return nil
	}
	version, wide := b[0], b[3]&1 == 1
	entries := int(binary.BigEndian.Uint32(b[4:]))
	b = b[8:]
	idSize := 2
	if version >= 1 {
		idSize = 4
	}
	size := 1
	if wide {
		size = 2
	}
	for range entries {
		if len(b) < idSize+1 {
			return nil
		}
		id := int(binary.BigEndian.Uint16(b))
		if idSize == 4 {
			id = int(binary.BigEndian.Uint32(b))
		}
		n := int(b[idSize])
		b = b[idSize+1:]
		if len(b) < n*size {
			return nil
		}
		if id == item {
			found := make([]int, n)
			for i := range found {
				if wide {
					found[i] = int(binary.BigEndian.Uint16(b[2*i:]) & 0x7fff)
				} else {
					found[i] = int(b[i] & 0x7f)
				}
			}
			return found
		}
		b = b[n*size:]
	}
	return nil
}

// derivedFrom returns the items from which an item is put together ("dimg").
func derivedFrom(iref []byte, item int) []int {
	var tiles []int
	references(iref, func(kind string, from int, to []int) {
		if kind == "dimg" && from == item {
			tiles = append(tiles, to...)
		}
	})
	return tiles
}

// references calls do for every reference of an iref box.
func references(iref []byte, do func(kind string, from int, to []int)) {
	if len(iref) < 4 {
		return
	}
	size := 2
	if iref[0] >= 1 {
		size = 4
	}
	id := func(b []byte) int {
		if size == 4 {
			return int(binary.BigEndian.Uint32(b))
		}
		return int(binary.BigEndian.Uint16(b))
	}
	boxes(iref[4:], func(kind string, b []byte) bool {
		if len(b) < size+2 {
			return true
		}
		n := int(binary.BigEndian.Uint16(b[size:]))
		if len(b) < size+2+n*size {
			return true
		}
		to := make([]int, n)
		for i := range to {
			to[i] = id(b[size+2+i*size:])
		}
		do(kind, id(b), to)
		return true
	})
}

// visiblePictures counts the items that are pictures of their own: coded or put
// together, not hidden, no tile, thumbnail, alpha or gain map of another.
func visiblePictures(iinf, iref []byte) int {
	if len(iinf) < 6 {
		return 0
	}
	helper := map[int]bool{}
	references(iref, func(kind string, from int, to []int) {
		switch kind {
		case "thmb", "auxl":
			helper[from] = true
		case "dimg":
			for _, t := range to {
				helper[t] = true
			}
		}
	})
	list := iinf[6:]
	if iinf[0] >= 1 {
		list = iinf[min(8, len(iinf)):]
	}
	n := 0
	boxes(list, func(kind string, b []byte) bool {
		id, what, hidden, ok := itemInfo(b)
		if kind == "infe" && ok && !hidden && !helper[id] {
			switch what {
			case "hvc1", "av01", "grid", "iovl":
				n++
			}
		}
		return true
	})
	return n
}

// itemInfo reads an infe box of version 2 or 3.
func itemInfo(b []byte) (id int, kind string, hidden, ok bool) {
	switch {
	case len(b) >= 12 && b[0] == 2:
		return int(binary.BigEndian.Uint16(b[4:])), string(b[8:12]), b[3]&1 == 1, true
	case len(b) >= 14 && b[0] == 3:
		return int(binary.BigEndian.Uint32(b[4:])), string(b[10:14]), b[3]&1 == 1, true
	}
	return 0, "", false, false
}
