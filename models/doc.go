// Package models keeps the yard in a database: SQLite embedded, PostgreSQL in
// earnest. Every transaction of the program is in this package.
//
// Inside a transaction only the Tx exists: SQLite has one writer, so a second
// one begun within it would wait for ever.
//
// Decimals are whole millionths, money is whole minor units, instants are
// milliseconds (columns that end in _ms), all BIGINT; days are ISO 8601 text.
package models
