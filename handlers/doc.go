// Package handlers answers the outside: pages and the JSON API over HTTP, and
// the reports that both the API and the command line print.
package handlers
