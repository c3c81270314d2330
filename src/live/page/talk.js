// Messages to and from the server.

/** This page's own name, so that its changes are told from others'. */
export const PAGE = Math.random().toString(36).slice(2);

export async function get(where) {
  return fetch(where, { cache: "no-store" });
}

export async function post(where, message) {
  return fetch(where, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(message),
  });
}

/** What was made, from one message: a length, JSON, and the corners of the pictures. */
export async function framed(answer) {
  const bytes = await answer.arrayBuffer();
  const long = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, long)));
  for (const piece of head.pieces) {
    const { at, corners, triangles } = piece.mesh;
    const from = 4 + long + at;
    piece.mesh = {
      places: new Float32Array(bytes, from, corners * 3),
      normals: new Int8Array(bytes, from + corners * 12, corners * 4),
      triangles: new Uint32Array(bytes, from + corners * 16, triangles * 3),
    };
  }
  return head;
}

/** Waits for news for ever; `gone` is told when the server doesn't answer. */
export async function listen(heard, gone) {
  let seen = 0;
  for (;;) {
    try {
      const answer = await get(`news?seen=${seen}`);
      if (answer.status === 200) {
        const state = await answer.json();
        seen = state.news;
        heard(state);
      } else if (!answer.ok) throw new Error(answer.status);
      gone(false);
    } catch {
      gone(true);
      // The next is answered at once, whatever has happened.
      seen = 0;
      await new Promise((done) => setTimeout(done, 1000));
    }
  }
}
