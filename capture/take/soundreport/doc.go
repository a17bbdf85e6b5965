// Package soundreport turns a folder of takes into paper: a CSV for a
// spreadsheet, and one HTML page that needs nothing else, for screen and
// print, with a small picture of level and spectrum for each take.
package soundreport
