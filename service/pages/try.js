'use strict';
// Asks the service that this page came from, and shows its answer as it is.
const token = document.querySelector('#token');
for (const form of document.querySelectorAll('form.try')) {
  const [text, shown] = [form.querySelector('textarea'), form.querySelector('pre')];
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const headers = { 'Content-Type': 'application/json', Accept: 'application/json' };
    if (token.value) headers.Authorization = 'Bearer ' + token.value;
    shown.hidden = false;
    shown.textContent = 'asking …';
    try {
      const reply = await fetch(form.dataset.path, { method: 'POST', headers, body: text.value });
      const answer = await reply.text();
      let pretty = answer;
      try { pretty = JSON.stringify(JSON.parse(answer), null, 2); } catch { /* shown as it came */ }
      shown.textContent = reply.status + ' ' + reply.statusText + '\n' + pretty;
    } catch (error) {
      shown.textContent = 'The service did not answer: ' + error.message;
    }
  });
}
