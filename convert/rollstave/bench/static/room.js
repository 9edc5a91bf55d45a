// How much of the room that a file may take is used.

/** Bytes of a text in an encoding; those with one byte for each character are not looked at. A
 * line end takes two where the file has them so, which the server knows: it is counted as one. */
export function bytes(text, encoding) {
  if (encoding.startsWith("utf-16")) return 2 * text.length;
  return encoding === "utf-8" ? new TextEncoder().encode(text).length : text.length;
}

/** { over, words } for a text: whether it is longer than the file may be, and what to say then.
 * `largest` is in bytes. */
export function room(text, { largest, encoding }) {
  if (text.length * 3 <= largest) return { over: false, words: "" };
  const taken = bytes(text, encoding);
  const [have, most] = [taken, largest].map((count) => count.toLocaleString("en"));
  const words = `Too long to save: ${have} bytes, and a file may have ${most}.`;
  return { over: taken > largest, words };
}
