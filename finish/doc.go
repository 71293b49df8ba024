// Package finish is the job and the bench: the verbs that the command line
// and the page share. A verb asks the workroom file once for the facts it
// needs, lets the chambers compute, and gives one answer whose fields print
// as JSON with the units in their keys; new facts are saved in one
// transaction at the end.
//
// It answers: what colours do these pictures show ([ReadPictures]); what on
// the shelf comes near a colour ([Bench.Match]); what do these coats look
// like ([Bench.Layers]); what is an area's target ([Bench.Target]); what must
// be done when ([Bench.Plan]); may these surfaces touch ([Bench.Contacts]);
// what must be minded ([Bench.Cautions]); and it writes the papers
// ([Bench.Sheet]).
//
// The walk of one picture through the house: bytes → [palette.Reference] →
// patches and materials → target (approved: a fact) → matches → choice (a
// fact) → plan → schedule → cautions → papers.
//
// The clock enters here, as an argument; nothing below asks for the time.
// Most readers want [Open] and [Bench.Plan].
package finish
