// Package garment answers what is to be made: one job of looks for its
// wearers, each look made of pieces, each piece of areas with one intended
// colour, and what touches what in wear and in the bag.
//
// It takes the facts of a job as the tables state them
// ([undercoat/inventory.JobFacts]) and gives a [Job] whose codes agree with
// each other, whose times are real instants in the job's own zone, and whose
// targets are whole colours. It refuses facts that contradict each other and
// names the table, the code and the column.
//
// Conditions: areas are square metres of the lead wearer's pieces (factor 1);
// tolerances are ΔE00 under D65, 2°; shares and percentages are 0…1.
//
// Most readers want [NewJob] and [Job.Area].
package garment
