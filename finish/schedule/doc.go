// Package schedule puts tasks in order: tasks, waits and working hours in,
// dates out. It knows no paint.
package schedule
