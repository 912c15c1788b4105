// Makes or uses a passkey when a form says so, and sends what the browser gave with the form.
// data-passkey: "create" or "get"; data-options: the id of the element that holds the server's options as JSON, without
// which the form's own address gives them. Such a form is hidden as it comes, and shown where a passkey can be used.

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
const asked = (options, kind, alone) => {
  const publicKey = { ...options.publicKey, challenge: bytesOf(options.publicKey.challenge) };
  if (kind === "create") {
    if (alone) {
      // To be found without a name, it has to know whose it is; to do for a password, it has to ask for its owner.
      const wish = { residentKey: "required", requireResidentKey: true, userVerification: "required" };
      publicKey.authenticatorSelection = { ...publicKey.authenticatorSelection, ...wish };
    }
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

/** @param {HTMLFormElement} form @returns {Promise<object>} the server's options */
const optionsOf = async (form) => {
  if (form.dataset.options) return JSON.parse(document.getElementById(form.dataset.options).textContent);
  const answer = await fetch(form.action, { headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error(`no options: ${answer.status}`);
  return answer.json();
};

// Passkeys are bound to a name: at an address of figures no browser has any, even where it knows of them.
const possible = "PublicKeyCredential" in window && !/^[\d.]+$|:/.test(location.hostname);
for (const instead of document.querySelectorAll("[data-no-passkey]")) instead.hidden = possible;

for (const form of document.querySelectorAll("form[data-passkey]")) {
  form.hidden = !possible;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const kind = form.dataset.passkey;
    const problem = form.querySelector("[role=alert]");
    problem.hidden = true;
    try {
      const options = asked(await optionsOf(form), kind, form.elements.namedItem("passwordless")?.checked);
      const credential = kind === "create" ? await navigator.credentials.create(options) : await navigator.credentials.get(options);
      form.elements.namedItem("credential").value = JSON.stringify(told(credential));
      form.submit();
    } catch {
      problem.hidden = false;
    }
  });
}
