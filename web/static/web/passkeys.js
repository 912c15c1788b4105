// Makes or uses a passkey when a form says so, and sends what the browser gave with the form.
// data-passkey: "create" or "get"; data-options: the id of the element that holds the server's options as JSON.

/** @param {string} text base64url @returns {ArrayBuffer} */
const bytesOf = (text) => {
  const plain = atob(text.replace(/-/g, "+").replace(/_/g, "/"));
  return Uint8Array.from(plain, (letter) => letter.charCodeAt(0)).buffer;
};

/** @param {ArrayBuffer | null | undefined} bytes @returns {string | undefined} base64url */
const textOf = (bytes) => {
  if (!bytes) return undefined;
  const plain = Array.from(new Uint8Array(bytes), (byte) => String.fromCharCode(byte)).join("");
  return btoa(plain).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
};

const known = (list = []) => list.map((each) => ({ ...each, id: bytesOf(each.id) }));

/** What the server gave, as the browser wants it. */
const asked = (options, kind) => {
  const publicKey = { ...options.publicKey, challenge: bytesOf(options.publicKey.challenge) };
  if (kind === "create") {
    publicKey.user = { ...publicKey.user, id: bytesOf(publicKey.user.id) };
    publicKey.excludeCredentials = known(publicKey.excludeCredentials);
  } else publicKey.allowCredentials = known(publicKey.allowCredentials);
  return { publicKey };
};

/** What the browser gave, as the server wants it (WebAuthn Level 3, 5.1: RegistrationResponseJSON and its sister). */
const told = (credential) => {
  const { response } = credential;
  return {
    id: credential.id,
    rawId: textOf(credential.rawId),
    type: credential.type,
    authenticatorAttachment: credential.authenticatorAttachment ?? undefined,
    clientExtensionResults: credential.getClientExtensionResults(),
    response: {
      clientDataJSON: textOf(response.clientDataJSON),
      attestationObject: textOf(response.attestationObject),
      authenticatorData: textOf(response.authenticatorData),
      signature: textOf(response.signature),
      userHandle: textOf(response.userHandle),
      transports: response.getTransports?.(),
    },
  };
};

for (const form of document.querySelectorAll("form[data-passkey]")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const kind = form.dataset.passkey;
    const problem = form.querySelector("[role=alert]");
    problem.hidden = true;
    try {
      const options = asked(JSON.parse(document.getElementById(form.dataset.options).textContent), kind);
      const credential = kind === "create" ? await navigator.credentials.create(options) : await navigator.credentials.get(options);
      form.elements.namedItem("credential").value = JSON.stringify(told(credential));
      form.submit();
    } catch {
      problem.hidden = false;
    }
  });
}
