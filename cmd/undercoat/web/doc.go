// Package web answers in a browser what the commands answer in a terminal: the
// pages of one workroom, served from the binary.
//
// The shape: an area is a strip, like a strip of cloth pinned to a board; the
// job is the board of its strips; pictures, shelf, days, contacts and papers
// open from a strip and return to it. A handler reads input, calls one verb of
// the bench and fills one template. Every form works without script; script
// draws on pictures, takes dropped ones and shows clocks. Work that takes longer
// than a moment is told while it runs, see long.
//
// It refuses: names of hosts it does not serve, writes that come from another
// page, bodies that are too large, and forms filled in on facts that have
// changed since (nothing is overwritten). No name in a request reaches the
// file system. It speaks plain HTTP; on a network it asks for a pairing code.
//
// Most readers want [New] and [Server.Handler].
package web
