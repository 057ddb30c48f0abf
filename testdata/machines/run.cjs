// Runs one Go program for WebAssembly as often as it is told on standard input,
// and writes what each run wrote and its exit code to standard output, as JSON.
"use strict";
const fs = require("fs");
const task = JSON.parse(fs.readFileSync(0, "utf8"));

// What the program writes to its standard output and error is kept.
let written;
const keep = (fd, bytes) => written[fd].push(Buffer.from(bytes));
globalThis.fs = Object.assign({}, fs, {
	writeSync(fd, buf) {
		if (fd !== 1 && fd !== 2) return fs.writeSync(fd, buf);
		keep(fd, buf);
		return buf.length;
	},
	write(fd, buf, offset, length, position, callback) {
		if (fd !== 1 && fd !== 2) return fs.write(fd, buf, offset, length, position, callback);
		keep(fd, buf.subarray(offset, offset + length));
		callback(null, length);
	},
});
globalThis.path = require("path");
globalThis.crypto ??= require("crypto").webcrypto;
require(task.support);

(async () => {
	const module = await WebAssembly.compile(fs.readFileSync(task.program));
	const all = [];
	for (const args of task.jobs) {
		written = { 1: [], 2: [] };
		const go = new Go();
		go.argv = ["program", ...args];
		go.env = {};
		let code = 0;
		go.exit = (c) => { code = c; };
		await go.run(await WebAssembly.instantiate(module, go.importObject));
		for (const timer of go._scheduledTimeouts.values()) clearTimeout(timer); // nobody is woken after the end
		all.push({ code, stdout: Buffer.concat(written[1]).toString("base64"), stderr: Buffer.concat(written[2]).toString("base64") });
	}
	fs.writeFileSync(1, JSON.stringify(all));
})().catch((err) => {
	console.error(err);
	process.exit(1);
});
