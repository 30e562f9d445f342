/* Passkeys: shows what needs them where the browser has them, and says in words when one was not used. */
import "mfa/js/webauthn-json.js";
import "mfa/js/webauthn.js";
import "account/js/onload.js";

document.addEventListener("DOMContentLoaded", () => {
  if (!window.PublicKeyCredential) return;
  for (const part of document.querySelectorAll("[data-passkeys]")) part.hidden = false;
  const tick = document.getElementById("id_shared");
  const said = document.getElementById("mfa_shared");
  if (tick && said) {
    const copy = () => { said.disabled = !tick.checked; };
    tick.addEventListener("change", copy);
    copy();
  }
});
document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  const trouble = document.getElementById("trouble");
  const fault = event.detail.exception;
  const words = {
    NotAllowedError: "The passkey was not used: it was cancelled, or it took too long. Try again.",
    InvalidStateError: "This device holds a passkey for this account already.",
    SecurityError: "The browser does not allow passkeys at this address.",
  };
  trouble.querySelector("span").textContent =
    words[fault && fault.name] || "The passkey could not be used. Try again, or take another way.";
  trouble.hidden = false;
});
